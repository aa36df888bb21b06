"""Stands in for a dairy: its folder, its board, and the real processes that work on it.

What a test starts here is ended with it. `until` waits for a condition; its deadline is only
reached by a failure.
"""

import os
import pty
import select
import struct
import subprocess
import sys
import termios
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing, contextmanager
from fcntl import ioctl
from pathlib import Path
from types import MappingProxyType
from typing import Any

import pyte

import cavewatch
from cavewatch.config import Config, load
from cavewatch.store import RecorderLock, Store

ROOT = Path(cavewatch.__file__).parents[1]
BOARD = Path(__file__).with_name("pty_board.py")
MAKER = Path(__file__).with_name("maker.py")
CONFIG = """
[dairy]
name = "Test dairy (invented)"
zone = "UTC"
initials = "TT"
[store]
path = "dairy.sqlite"
commit_every = "{commit_every} s"
[[place]]
name = "cave"
kind = "cave"
temperature = [10, 14]
humidity = [85, 95]
fixed = true
[[place]]
name = "tub"
kind = "tub"
[place.brine]
strength = "20 %"
temperature = 12
[[sensor]]
name = "board"
port = "{port}"
every = "1 s"
[sensor.fields]
T = "cave.temperature"
H = "cave.humidity"
[tuning."cave.humidity"]
on_delay = 0
off_delay = 0
drift = false
forecast = false
[tuning."cave.temperature"]
drift = false
forecast = false
"""


def until(reached: Callable[[], Any], within: float = 120.0) -> Any:
    """Wait until something is true; give it."""
    end = time.monotonic() + within
    while not (value := reached()):
        assert time.monotonic() < end, f"not reached within {within} s"
        time.sleep(0.02)
    return value


def line(temperature: float, humidity: float) -> bytes:
    """What the board says."""
    return f"T={temperature:.2f} H={humidity:.1f}\n".encode()


def _size(terminal: int, columns: int, rows: int) -> None:
    ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))


class Terminal:
    """A dashboard on a pseudo-terminal of its own, and what it shows.

    A thread reads all the time, as a terminal does, unless it is told to stall.
    """

    def __init__(
        self,
        command: list[str],
        columns: int = 120,
        rows: int = 40,
        more: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        master, slave = pty.openpty()
        _size(slave, columns, rows)
        environment = {**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor"}
        environment.pop("NO_COLOR", None)
        environment.update(more)
        self.process = subprocess.Popen(
            ["setsid", "--ctty", *command],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            cwd=ROOT,
            env=environment,
        )
        os.close(slave)
        self.bytes = 0
        """That came so far."""
        self._master = master
        self._screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self._screen)
        self._lock = threading.Lock()
        self._over, self._over_told = os.pipe()
        self._thread = threading.Thread(target=self._read)
        self._thread.start()

    def _read(self) -> None:
        while True:
            ready, _, _ = select.select([self._master, self._over], [], [])
            if self._over in ready:
                return
            try:
                taken = os.read(self._master, 65536)
            except OSError:  # nobody has the terminal open any more
                return
            with self._lock:
                self.bytes += len(taken)
                self._stream.feed(taken)

    @property
    def shown(self) -> str:
        """The screen's rows."""
        with self._lock:
            return "\n".join(self._screen.display)

    def press(self, keys: str) -> None:
        """Type."""
        os.write(self._master, keys.encode())

    def resize(self, columns: int, rows: int) -> None:
        """Make the window larger or smaller; a dashboard then draws all of it again."""
        with self._lock:
            self._screen.resize(rows, columns)
        _size(self._master, columns, rows)

    def stall(self) -> None:
        """Read no more."""
        os.write(self._over_told, b"x")
        self._thread.join()

    def hang_up(self) -> None:
        """Close the terminal, as when a window is closed."""
        self.stall()
        for each in (self._master, self._over, self._over_told):
            os.close(each)
        self._master = -1

    def close(self) -> None:
        """End the process and the terminal, whatever state they are in."""
        self.process.kill()
        self.process.wait()
        if self._master >= 0:
            self.hang_up()


class Maker:
    """A process that makes entries, and what it was told was written."""

    def __init__(self, config: Path, seed: int) -> None:
        self.confirmed: dict[int, str] = {}
        """Entries by number, as text."""
        command = [sys.executable, str(MAKER), str(config), str(seed)]
        self.process = subprocess.Popen(
            command,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=subprocess.PIPE,
            text=True,
        )
        self._thread = threading.Thread(target=self._listen)
        self._thread.start()

    def _listen(self) -> None:
        assert self.process.stdout is not None
        with self.process.stdout as told:
            for said in told:
                if said.endswith("\n"):  # a line that a kill cut off tells nothing
                    number, _, entry = said.rstrip("\n").partition(" ")
                    self.confirmed[int(number)] = entry

    def close(self) -> None:
        """Kill it at whatever it does; wait for what it still had told."""
        self.process.kill()
        self.process.wait()
        self._thread.join()


class Premises:
    """One dairy with everything in one folder."""

    def __init__(self, folder: Path, config: str = CONFIG, commit_every: int = 1) -> None:
        self.config_path = folder / "my.toml"
        self.port = folder / "ttyBOARD"
        text = config.format(port=self.port, commit_every=commit_every)
        self.config_path.write_text(text, encoding="utf-8")
        self._started: list[subprocess.Popen[bytes]] = []
        self._closed: list[Callable[[], None]] = []

    @property
    def config(self) -> Config:
        """As the program reads it."""
        return load(self.config_path)

    @property
    def command(self) -> list[str]:
        """The program with this config; a subcommand may follow."""
        return [sys.executable, "-m", "cavewatch", "--config", str(self.config_path)]

    def call(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run a command to its end."""
        return subprocess.run(
            [*self.command, *words],
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
            cwd=ROOT,
        )

    def record(self) -> subprocess.Popen[bytes]:
        """Start a recorder."""
        return self._start([*self.command, "record"])

    def recording(self) -> subprocess.Popen[bytes]:
        """Start a recorder, and wait until it is the one that records."""
        found = self.record()
        lock = RecorderLock(self.config.store_path)
        until(lambda: lock.holder() == found.pid)
        return found

    def plug_in(self, always: bytes, pause: float = 0.0) -> subprocess.Popen[bytes]:
        """Start a board that says this for ever; unplug it by killing it."""
        words = [str(self.port), "0", always.hex(), str(pause)]
        return self._start([sys.executable, str(BOARD), *words])

    def terminal(self, command: list[str] | None = None) -> Terminal:
        """Open a dashboard, or another command, on a terminal."""
        found = Terminal(command or self.command)
        self._closed.append(found.close)
        return found

    def maker(self, seed: int) -> Maker:
        """Start making entries."""
        found = Maker(self.config_path, seed)
        self._closed.append(found.close)
        return found

    @contextmanager
    def store(self) -> Iterator[Store]:
        """The store, open for a look."""
        with closing(Store.open(self.config.store_path)) as store:
            yield store

    def _start(self, command: list[str]) -> subprocess.Popen[bytes]:
        self._started.append(subprocess.Popen(command, cwd=ROOT))
        return self._started[-1]

    def close(self) -> None:
        """End everything that was started."""
        for close in self._closed:
            close()
        for process in self._started:
            process.kill()
            process.wait()
