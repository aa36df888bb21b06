"""The first start on a real terminal: from no config to the running dashboard, or to nothing."""

import os
import signal
import sys
import termios
import threading
import tty
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from premises import Terminal, until

from cavewatch.cli.setting_up import ThisMachine
from cavewatch.config import load
from cavewatch.core.sensor import LineFormat, Unit
from cavewatch.screens.setup.answers import PortHeard
from cavewatch.store import RecorderLock
from sensors.ports import PortFound


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's folders with nothing in them."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.delenv("CAVEWATCH_CONFIG", raising=False)
    return tmp_path


@pytest.fixture
def opened(home: Path) -> Iterator[Callable[..., Terminal]]:  # noqa: ARG001
    made: list[Terminal] = []

    def start(*words: str, columns: int = 80, rows: int = 24) -> Terminal:
        command = [sys.executable, "-m", "cavewatch", *words]
        made.append(Terminal(command, columns, rows))
        return made[-1]

    yield start
    for each in made:
        each.close()


@pytest.mark.parametrize(
    ("columns", "rows"), [(80, 24), pytest.param(40, 20, marks=pytest.mark.long)]
)
def test_it_ends_in_the_running_dashboard(
    opened: Callable[..., Terminal], home: Path, columns: int, rows: int
) -> None:
    path = home / "config" / "cavewatch" / "config.toml"
    terminal = opened(columns=columns, rows=rows)
    try:
        for words, keys in (
            ("1 of 5", "Hillside\x13"),
            ("2 of 5", " \x13"),
            ("3 of 5", "\r"),
            ("Keep (ctrl+s)", "\x13"),
            ("cave    ", "\x13"),
            ("4 of 5", "\x13"),
            ("5 of 5", ""),
        ):
            until(lambda words=words: words in terminal.shown)
            assert not path.exists()
            terminal.press(keys)
        terminal.press("\x13")
        until(lambda: "Nothing is due" in terminal.shown)
        config = load(path)
        assert [place.name for place in config.places] == ["cave"]
        assert until(RecorderLock(config.store_path).holder)
    finally:
        holder = RecorderLock(home / "data/cavewatch/cavewatch.sqlite").holder()
        if holder:  # 0 would mean the tests' own processes
            os.kill(holder, signal.SIGTERM)


def test_escape_leaves_nothing_behind(opened: Callable[..., Terminal], home: Path) -> None:
    terminal = opened()
    until(lambda: "1 of 5" in terminal.shown)
    terminal.press("Hillside\x13")
    until(lambda: "2 of 5" in terminal.shown)
    terminal.press("\x1b")
    until(lambda: "1 of 5" in terminal.shown)
    terminal.press("\x1b")
    assert terminal.process.wait(60) == 0
    until(lambda: "Left without a config; nothing was written" in terminal.shown)
    assert [each for each in home.rglob("*") if each.is_file()] == []


def test_a_config_that_is_there_is_not_asked_for(
    opened: Callable[..., Terminal], home: Path
) -> None:
    path = home / "mine.toml"
    path.write_text("[dairy]\n", encoding="utf-8")
    terminal = opened("--config", str(path))
    assert terminal.process.wait(60) == 1
    assert path.read_text(encoding="utf-8") == "[dairy]\n"
    assert "1 of 5" not in terminal.shown


class Board:
    """Says the same again and again, at one speed only if there is one."""

    def __init__(self, line: bytes, baud: int | None = None) -> None:
        self._line, self._baud = line, baud
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        self.port = os.ttyname(self._slave)
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._send)
        self._thread.start()

    def _send(self) -> None:
        while not self._ended.wait(0.02):
            right = self._baud in (None, termios.tcgetattr(self._slave)[4])
            with suppress(BlockingIOError):  # nobody reads
                os.write(self._master, self._line if right else b"\xfe\x80\xc3\x00" * 8)

    def unplug(self) -> None:
        if not self._ended.is_set():
            self._ended.set()
            self._thread.join()
            os.close(self._slave)
            os.close(self._master)


@pytest.fixture
def listening(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[..., tuple[Board, Callable[[], PortHeard]]]]:
    boards: list[Board] = []
    machine = ThisMachine(tmp_path / "config.toml")

    def start(line: bytes, baud: int | None = None) -> tuple[Board, Callable[[], PortHeard]]:
        boards.append(Board(line, baud))
        found = [PortFound(boards[-1].port, "a board", None)]
        monkeypatch.setattr("cavewatch.cli.setting_up.serial_ports", lambda: found)
        return boards[-1], lambda: machine.heard()[0]

    yield start
    for board in boards:
        board.unplug()
    machine.release()


def test_what_a_port_says_is_heard_and_made_out(listening) -> None:  # type: ignore[no-untyped-def]
    board, heard = listening(b"T=54.1F RH=88.1 batt=3.1\r\n", termios.B4800)
    until(lambda: heard().values)
    found = heard()
    assert (found.port, found.description, found.baud) == (board.port, "a board", 4800)
    assert (found.format, found.columns) == (LineFormat.PAIRS, ())
    assert [(v.name, v.words, v.unit) for v in found.values] == [
        ("t", "54.1 F", Unit.FAHRENHEIT),
        ("rh", "88.1", Unit.PERCENT),
        ("batt", "3.1", None),
    ]
    assert len(found.lines) <= 4
    assert found.lines[-1][0] == "T=54.1F RH=88.1 batt=3.1"


def test_columns_without_titles_get_names_that_can_be_used(listening) -> None:  # type: ignore[no-untyped-def]
    _, heard = listening(b"12.3;88.1\n")
    until(lambda: heard().values)
    assert heard().format is LineFormat.COLUMNS
    assert heard().columns == ("first", "second")


def test_an_unplugged_port_says_so(listening) -> None:  # type: ignore[no-untyped-def]
    board, heard = listening(b"T=12.3\n")
    until(lambda: heard().values)
    board.unplug()
    until(lambda: heard().trouble)
    assert board.port in heard().trouble


def test_the_ports_are_free_for_a_recorder_afterwards(listening, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    machine = ThisMachine(tmp_path / "other.toml")
    _, heard = listening(b"T=12.3\n")
    until(lambda: machine.heard()[0].values)
    until(lambda: heard().trouble)
    assert "another program has it open" in heard().trouble
    machine.release()
    until(lambda: heard().values)
