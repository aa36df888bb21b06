"""A serial port that is listened to for months: unplugged, plugged in again, never given up."""

import errno
import os
import threading
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from cavewatch.clock import Clock
from cavewatch.core.reading import Reading
from cavewatch.core.sensor import PortSettings
from sensors.decode import LineDecoder
from sensors.faults import shown
from sensors.source import SourceCondition

if TYPE_CHECKING:
    from serial import Serial

_READ_TIMEOUT = 1.0
"""Longest wait for bytes [s]; data and closing end it at once."""
_FIRST_PAUSE, _LONGEST_PAUSE = 0.5, 5.0
"""Between attempts to open the port, doubling [s]."""
_KEPT = 10_000
"""Readings kept for a caller that does not take them; then the oldest go."""


class SerialSource:
    """Readings from a board that sends lines, read by a thread of its own.

    Opening the port raises its DTR line, which restarts many boards.
    """

    def __init__(self, settings: PortSettings, clock: Clock) -> None:
        self.name = settings.name
        self._settings, self._clock = settings, clock
        self._decoder = LineDecoder(settings)
        self._readings: deque[Reading] = deque(maxlen=_KEPT)
        self._condition = SourceCondition(False, "not started", None, 0)
        self._port: Serial | None = None
        self._port_lock = threading.Lock()
        self._closing = threading.Event()
        self._thread = threading.Thread(
            target=self._listen, name=f"port of {settings.name}", daemon=True
        )

    def start(self) -> None:
        """Begin to listen; a port that is not there yet is waited for."""
        self._thread.start()

    def take(self) -> list[Reading]:
        """Everything that came since the last call, oldest first."""
        return [self._readings.popleft() for _ in range(len(self._readings))]

    def condition(self) -> SourceCondition:
        """How the port is now."""
        return self._condition

    def close(self) -> None:
        """Stop listening and free the port."""
        self._closing.set()
        with self._port_lock:
            if self._port is not None:
                self._port.cancel_read()
        if self._thread.is_alive():
            self._thread.join(2 * _READ_TIMEOUT)

    def _listen(self) -> None:
        pause = _FIRST_PAUSE
        while not self._closing.is_set():
            try:
                with self._opened() as port:
                    self._decoder.reset()
                    self._tell_connected()
                    while not self._closing.is_set():
                        if data := port.read(max(1, port.in_waiting)):
                            pause = _FIRST_PAUSE
                            self._hear(data)
            # Drivers raise more than OSError (termios.error, ValueError for a rate they
            # do not know), and a thread that has died would be a silent sensor for good.
            except Exception as fault:
                lost = self._condition.connected
                self._tell(False, trouble(self._settings.port, fault, lost))
            self._closing.wait(pause)
            pause = min(2 * pause, _LONGEST_PAUSE)
        self._tell(False, "closed")

    @contextmanager
    def _opened(self) -> Iterator["Serial"]:
        from serial import Serial  # noqa: PLC0415  only those who listen to a port pay for it

        port = Serial(
            self._settings.port, self._settings.baud, timeout=_READ_TIMEOUT, exclusive=True
        )
        with self._port_lock:
            self._port = port
        try:
            yield port
        finally:
            with self._port_lock:
                self._port = None
            port.close()

    def _hear(self, data: bytes) -> None:
        at = self._clock()
        rejected = self._decoder.rejected
        readings = self._decoder.feed(data, at)
        self._readings.extend(readings)
        if readings or self._decoder.rejected != rejected:
            self._tell_connected(at if readings else None)

    def _tell_connected(self, heard_at: float | None = None) -> None:
        rejected = self._decoder.rejected
        if rejected:
            lines = "1 line" if rejected == 1 else f"{rejected} lines"
            reason = self._decoder.last_rejection
            text = f"connected; {lines} could not be read, the last because {reason}"
        elif heard_at is None and self._condition.heard_at is None:
            text = "connected; no reading has come yet"
        else:
            text = "connected"
        self._tell(True, text, heard_at)

    def _tell(self, connected: bool, text: str, heard_at: float | None = None) -> None:
        """Replace the condition as a whole, so that other threads never see half of one."""
        heard_at = self._condition.heard_at if heard_at is None else heard_at
        self._condition = SourceCondition(connected, text, heard_at, self._decoder.rejected)


def trouble(port: str, fault: Exception, lost: bool) -> str:
    """What keeps the port from being read, and what a person can do about it.

    Args:
        port: its path.
        fault: what was raised.
        lost: True if the port was open until now.
    """
    words = "the connection was lost; was it unplugged?" if lost else why(fault)
    return f"waiting for {shown(port, 80)}: {words}"


def why(fault: Exception) -> str:
    """What keeps a port from being opened, and what a person can do about it."""
    code = fault.errno if isinstance(fault, OSError) else None
    if code in (errno.ENOENT, errno.ENODEV, errno.ENXIO):
        return "no such device"
    if code == errno.EACCES:
        return (
            "permission denied; add the user to the group dialout "
            "(sudo usermod -aG dialout USER) and log in again"
        )
    if code in (errno.EAGAIN, errno.EBUSY):
        return "another program has it open"
    return os.strerror(code) if code is not None else shown(str(fault), 80)
