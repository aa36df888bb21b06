"""Manners towards a real terminal: what goes to it, and how the dashboard leaves it."""

import fcntl
import os
import pty
import re
import signal
import struct
import subprocess
import sys
import termios
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from select import select

import pytest

_SCENE = Path(__file__).with_name("conftest.py")
_CHILD = f"""
import importlib.util
import signal
import sys

spec = importlib.util.spec_from_file_location("scene", {str(_SCENE)!r})
scene = importlib.util.module_from_spec(spec)
spec.loader.exec_module(scene)
if "deaf" in sys.argv:
    signal.pthread_sigmask(signal.SIG_BLOCK, [signal.SIGHUP])
scene.DashboardApp(scene.busy()).run()
"""
PATIENCE = 60.0
"""Longest wait for anything that must happen [s]."""


class Terminal:
    """A pseudo-terminal with the dashboard in it."""

    def __init__(self, child: subprocess.Popen[bytes], master: int) -> None:
        self.child = child
        self.master = master
        self.seen = b""

    def wait_for(self, words: bytes) -> None:
        """Read until these bytes have come."""
        while words not in self.seen:
            ready, _, _ = select([self.master], [], [], PATIENCE)
            assert ready, f"never came: {words!r} after {self.seen[-300:]!r}"
            self.seen += os.read(self.master, 65536)

    def drain(self) -> None:
        """Read all that is left; a terminal whose child has gone gives an error or nothing."""
        try:
            while select([self.master], [], [], 0.5)[0] and (more := os.read(self.master, 65536)):
                self.seen += more
        except OSError:
            return


@contextmanager
def opened(*arguments: str, **environment: str) -> Iterator[Terminal]:
    master, slave = pty.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    kept = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "COLORTERM", "TERM")}
    child = subprocess.Popen(
        [sys.executable, "-c", _CHILD, *arguments],
        stdin=slave,
        stdout=slave,
        stderr=slave,
        env={**kept, "TERM": "xterm-256color", **environment},
        start_new_session=True,
        cwd=Path(__file__).parents[2],
    )
    os.close(slave)
    terminal = Terminal(child, master)
    try:
        terminal.wait_for(b"turn late 12 min")
        yield terminal
    finally:
        child.kill()
        child.wait()
        with suppress(OSError):
            os.close(master)


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_signal_ends_it_and_leaves_the_terminal_in_order(number: signal.Signals) -> None:
    with opened() as terminal:
        terminal.child.send_signal(number)
        terminal.wait_for(b"\x1b[?1049l")
        terminal.drain()
        assert terminal.child.wait(PATIENCE) == 0
        assert b"\x1b[?1000l" in terminal.seen
        assert b"Traceback" not in terminal.seen


def test_it_ends_when_its_terminal_is_gone_even_if_no_signal_reaches_it() -> None:
    with opened("deaf") as terminal:
        os.close(terminal.master)
        assert terminal.child.wait(PATIENCE) is not None


def test_no_color_means_no_colour_at_all() -> None:
    with opened(NO_COLOR="1") as terminal:
        terminal.drain()
        attributes = {
            code
            for codes in re.findall(rb"\x1b\[([0-9;]*)m", terminal.seen)
            for code in codes.split(b";")
        }
        assert attributes <= {b"", b"0", b"1", b"2", b"4", b"7", b"39", b"49"}


@pytest.mark.parametrize(
    "environment", [{"PYTHONIOENCODING": "latin-1"}, {"TERM": "linux"}], ids=["latin-1", "linux"]
)
def test_a_terminal_that_shows_only_ascii_gets_only_ascii(environment: dict[str, str]) -> None:
    with opened(**environment) as terminal:
        terminal.drain()
        assert terminal.seen.isascii()
        assert b"\\u" not in terminal.seen


def test_showing_the_dashboard_loads_no_solver_no_store_and_no_units_library() -> None:
    code = (
        "import sys, cavewatch.screens\n"
        "heavy = {'numpy', 'pint', 'sqlite3', 'sqlite_utils', 'serial'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    root = Path(__file__).parents[2]
    told = subprocess.run(
        [sys.executable, "-c", code], cwd=root, capture_output=True, text=True, check=True
    )
    assert told.stdout.strip() == "[]"
