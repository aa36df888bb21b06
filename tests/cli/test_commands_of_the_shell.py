"""The commands as a person calls them: mistakes, and what they say."""

import errno
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from cavewatch.cli import main
from cavewatch.cli.root import COMMANDS
from cavewatch.store import RecorderLock

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "config.example.toml"


@pytest.fixture
def call(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):  # type: ignore[no-untyped-def]
    monkeypatch.setenv("CAVEWATCH_CONFIG", str(tmp_path / "none.toml"))

    def run(*words: str) -> Result:
        return CliRunner().invoke(main, words)

    return run


@pytest.fixture
def dairy(tmp_path: Path) -> Path:
    text = '[dairy]\nname = "Test"\nzone = "UTC"\ninitials = "TT"\n[store]\npath = "d.sqlite"\n'
    text += '[[place]]\nname = "cave"\nkind = "cave"\n'
    text += (
        '[[place]]\nname = "tub"\nkind = "tub"\n[place.brine]\nstrength = 20\ntemperature = 12\n'
    )
    (tmp_path / "d.toml").write_text(text)
    return tmp_path / "d.toml"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("wheel", "list"), "there is no config at"),
        (("--config", "absent.toml", "check"), "there is no config at absent.toml"),
    ],
)
def test_a_mistake_is_one_sentence_without_traceback(call, words, said) -> None:  # type: ignore[no-untyped-def]
    found = call(*words)
    assert found.exit_code == 1
    assert said in found.output
    assert "Traceback" not in found.output


def test_check_names_every_mistake_and_the_ports(call, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    bad = tmp_path / "bad.toml"
    bad.write_text('[dairy]\nname = 7\nzone = "Mars/Olympus"\n[[place]]\nkind = "attic"\n')
    found = call("--config", str(bad), "check")
    assert found.exit_code == 1
    for words in ("line 2", "line 3", "Mars/Olympus", "attic", "serial ports"):
        assert words in found.output


def test_what_is_entered_is_in_the_journal_and_in_the_list(call, dairy: Path) -> None:  # type: ignore[no-untyped-def]
    def enter(*words: str) -> str:
        found = call("--config", str(dairy), *words)
        assert found.exit_code == 0, found.output
        return found.output

    assert "wheels 1–3" in enter(
        "wheel", "new", "gouda", "--place", "TUB", "--count", "3", "--at", "3 h ago"
    )
    assert "entry 2: salted" in enter("wheel", "salt", "--in", "tub", "--grams", "0.5 oz")
    assert "entry 3: turned, wheel 2" in enter("wheel", "turn", "2")
    assert "wheels 1–3" in enter("wheel", "lift", "--make", "1", "--to", "cave")
    assert "entry 5: ended" in enter("wheel", "end", "3", "--how", "sold")
    assert "entry 6: brine" in enter("brine", "measured", "tub", "19 Be")
    assert "entry 7: voided" in enter("wheel", "void", "5")
    assert "entry 8: note" in enter("wheel", "note", "smells right", "1")
    listed = enter("wheel", "list")
    assert [line.split()[0] for line in listed.splitlines()] == ["1", "2", "3"]
    assert "aging, cave" in listed


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("wheel", "turn", "9"), "there is no wheel 9"),
        (("wheel", "turn"), "name the wheels"),
        (("wheel", "turn", "two"), "'two' names no wheel"),
        (("wheel", "new", "gouda", "--place", "attic"), "there is no place 'attic'"),
        (("wheel", "new", "gouda", "--place", "tub", "--at", "soonish"), "is not a time"),
        (("wheel", "void", "9"), "there is no entry 9"),
    ],
)
def test_what_cannot_be_entered_is_refused_and_leaves_nothing(  # type: ignore[no-untyped-def]
    call, dairy: Path, words, said
) -> None:
    found = call("--config", str(dairy), *words)
    assert found.exit_code == 1
    assert said in found.output
    assert call("--config", str(dairy), "wheel", "list").output == ""


def test_hostile_text_reaches_no_terminal(call, dairy: Path) -> None:  # type: ignore[no-untyped-def]
    call("--config", str(dairy), "wheel", "new", "gouda", "--place", "tub", "--lot", "\x1b[2Jx")
    listed = call("--config", str(dairy), "wheel", "list").output
    assert "\x1b" not in listed


def test_every_command_is_in_the_readme() -> None:
    text = (ROOT / "README.md").read_text()
    for name in COMMANDS:
        assert f"cavewatch {name}" in text


def test_a_viewer_loads_neither_solver_nor_unit_library(dairy: Path) -> None:
    code = (
        "import sys\n"
        "from pathlib import Path\n"
        "import cavewatch.cli.dashboard\n"
        "from cavewatch.cli.live import Live\n"
        f"Live.opened(Path({str(dairy)!r})).desk().picture()\n"
        "print(*(m for m in ('numpy', 'pint', 'serial') if m in sys.modules))"
    )
    # The first opening makes the store, which takes the migration library; a second process
    # is a viewer of a store that is there.
    for expected in (None, ""):
        out = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        )
        if expected is not None:
            assert out.stdout.strip() == expected


def test_a_recorder_of_another_user_is_not_ended_and_that_is_said(
    call: Any, dairy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_process: int, _signal: int) -> None:
        raise PermissionError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr("os.kill", refuse)
    lock = RecorderLock(dairy.with_name("d.sqlite"))
    assert lock.acquire()
    try:
        found = call("--config", str(dairy), "record", "--stop")
    finally:
        lock.release()
    assert found.exit_code == 1
    assert f"the recorder (process {os.getpid()}) cannot be ended from here" in found.output
