"""The whole dashboard on terminals of many kinds: each is looked at through a terminal emulator."""

import shlex
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from premises import ROOT, Premises, Terminal, until

WEEK = ROOT / "demo" / "week.csv"
KINDS: dict[str, dict[str, str]] = {
    "C locale": {"LC_ALL": "C"},
    "Latin-1 locale": {"PYTHONIOENCODING": "latin-1"},
    "Linux console": {"TERM": "linux", "COLORTERM": ""},
    "16 colours": {"TERM": "xterm", "COLORTERM": "", "TEXTUAL_COLOR_SYSTEM": "standard"},
    "no colour": {"NO_COLOR": "1"},
    "screen": {"TERM": "screen", "COLORTERM": ""},
}
ASCII = {"C locale", "Latin-1 locale", "Linux console"}
PAGES = {
    "2": "cave",
    "4": "tub",
    "5": "planner",
    "6": "alarms",
    "7": "due",
    "8": "journal",
}


@pytest.fixture
def opened() -> Iterator[Callable[..., Terminal]]:
    made: list[Terminal] = []

    def start(columns: int, rows: int, **environment: str) -> Terminal:
        command = [sys.executable, "-m", "cavewatch", "replay", str(WEEK)]
        made.append(Terminal(command, columns, rows, environment))
        return made[-1]

    yield start
    for each in made:
        each.close()


@pytest.fixture
def premises(tmp_path: Path) -> Iterator[Premises]:
    """A dairy with a store and no recorder."""
    found = Premises(tmp_path)
    with found.store():
        pass
    yield found
    found.close()


@pytest.fixture
def opened_plain(premises: Premises) -> Iterator[Callable[..., Terminal]]:
    """Opens the program of that dairy on a terminal."""
    made: list[Terminal] = []

    def start(command: list[str] | None = None, **environment: str) -> Terminal:
        made.append(Terminal(command or premises.command, 80, 40, environment))
        return made[-1]

    yield start
    for each in made:
        each.close()


@pytest.mark.parametrize(
    ("columns", "rows"), [(80, 24), pytest.param(40, 20, marks=pytest.mark.long)]
)
@pytest.mark.parametrize("kind", KINDS)
def test_every_page_is_usable(
    opened: Callable[..., Terminal], kind: str, columns: int, rows: int
) -> None:
    terminal = opened(columns, rows, **KINDS[kind])
    until(lambda: "replay" in terminal.shown)
    terminal.press(" ")
    until(lambda: "paused" in terminal.shown)
    for key, words in PAGES.items():
        terminal.press(key)
        until(lambda words=words: words in terminal.shown.splitlines()[0])
        shown = until(lambda: "esc" in terminal.shown.splitlines()[-1] and terminal.shown)
        assert shown.isascii() or kind not in ASCII
    assert "Traceback" not in terminal.shown
    terminal.press("q")
    assert terminal.process.wait(60) == 0


def at_rest(terminal: Terminal) -> str:
    """The screen once nothing has come for a second: no half-painted one."""
    came, since = -1, 0.0

    def still() -> bool:
        nonlocal came, since
        if terminal.bytes != came:
            came, since = terminal.bytes, time.monotonic()
        return time.monotonic() - since > 1.0

    until(still)
    return terminal.shown


def test_a_resize_while_it_runs_leaves_nothing_of_the_old_size(
    opened: Callable[..., Terminal],
) -> None:
    terminal = opened(120, 40)
    until(lambda: "replay" in terminal.shown)
    terminal.press(" ")
    until(lambda: "paused" in terminal.shown)
    terminal.press("8")
    until(lambda: "esc back" in terminal.shown and "  written     " in terminal.shown)
    before = at_rest(terminal)
    for columns, rows in ((40, 20), (80, 24)):
        terminal.resize(columns, rows)
        until(
            lambda rows=rows: (
                len(terminal.shown.splitlines()) == rows
                and "esc" in terminal.shown.splitlines()[-1]
                and terminal.shown.count("replay") == 1
                and terminal.shown.splitlines()[0].strip()
            )
        )
    terminal.resize(120, 40)
    until(lambda: terminal.shown == before)


def test_a_dumb_terminal_gets_the_text_of_status(opened_plain: Callable[..., Terminal]) -> None:
    terminal = opened_plain(TERM="dumb")
    assert terminal.process.wait(60) == 3
    until(lambda: "UNWATCHED" in terminal.shown)
    assert "Test dairy (invented)" in terminal.shown
    assert "\x1b" not in terminal.shown


def test_errors_sent_to_a_file_get_the_text_of_status_on_the_terminal(
    premises: Premises, opened_plain: Callable[..., Terminal], tmp_path: Path
) -> None:
    log = tmp_path / "errors"
    command = " ".join([*map(shlex.quote, premises.command), "2>", shlex.quote(str(log))])
    terminal = opened_plain(command=["sh", "-c", command])
    assert terminal.process.wait(60) == 3
    until(lambda: "UNWATCHED" in terminal.shown)
    assert log.read_bytes() == b""


def test_status_in_the_locale_c_keeps_to_ascii(opened_plain: Callable[..., Terminal]) -> None:
    terminal = opened_plain(LC_ALL="C", TERM="dumb")
    terminal.process.wait(60)
    until(lambda: "Test dairy" in terminal.shown)
    assert terminal.shown.isascii()
