"""What a service tells systemd: that it is ready, that it is alive, that it is ending."""

import contextlib
import os
import socket

READY, ALIVE, STOPPING = "READY=1", "WATCHDOG=1", "STOPPING=1"
"""States of the notification protocol (sd_notify(3))."""

_PATIENCE = 1.0
"""Longest wait for systemd to take a message [s]; the next one tells the same."""


def notify(state: str) -> None:
    """Tell systemd; without effect where it does not listen.

    A message that cannot be sent is dropped: systemd restarts who stays silent.
    """
    address = os.environ.get("NOTIFY_SOCKET", "")
    if not address.startswith(("/", "@")):
        return
    if address.startswith("@"):
        address = "\0" + address[1:]
    with (
        contextlib.suppress(OSError),
        socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM | socket.SOCK_CLOEXEC) as out,
    ):
        out.settimeout(_PATIENCE)
        out.connect(address)
        out.sendall(state.encode())
