"""`cavewatch clock`, and what desks make of a clock that nobody set."""

from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from cavewatch import clock
from cavewatch.cli import main
from cavewatch.cli.live import UNSET, Live
from cavewatch.clock import SetBy
from cavewatch.core.journal import Noted
from cavewatch.store import Store

CONFIG = """
[dairy]
name = "Test"
zone = "UTC"
initials = "TT"
[store]
path = "d.sqlite"
[[place]]
name = "cave"
kind = "cave"
"""
Call = Callable[..., str]


@pytest.fixture
def dairy(tmp_path: Path) -> Path:
    (tmp_path / "d.toml").write_text(CONFIG)
    return tmp_path / "d.toml"


@pytest.fixture
def call(dairy: Path) -> Call:
    def run(*words: str) -> str:
        found = CliRunner().invoke(main, ["--config", str(dairy), *words])
        assert found.exit_code == 0, found.output
        return found.output

    return run


@pytest.fixture
def unset(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody set the machine's clock."""
    monkeypatch.setattr(clock, "set_by", lambda _: None)


def test_a_clock_that_is_set_is_told_with_who_set_it(
    call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clock, "set_by", lambda _: SetBy.NETWORK)
    said = call("clock")
    assert "switched on" in said
    assert said.endswith("the clock is right: the network says so\n")


@pytest.mark.usefixtures("unset")
def test_the_word_of_the_maker_makes_the_clock_right(call: Call, dairy: Path) -> None:
    assert UNSET in call("clock")
    with closing(Live.opened(dairy).store) as store:
        desk = replace(Live.opened(dairy), store=store).desk()
        assert not desk.picture().clock_sure
        assert desk.notice().startswith(UNSET)

        assert "the clock counts as right until the machine is off" in call("clock", "right")
        assert desk.changed()
        assert desk.picture().clock_sure
        assert UNSET not in desk.notice()
    assert call("clock").endswith("the clock is right: the maker says so\n")


@pytest.mark.usefixtures("unset")
def test_the_config_can_say_that_the_clock_is_always_right(call: Call, dairy: Path) -> None:
    dairy.write_text(CONFIG + "[clock]\nalways_right = true\n")
    assert call("clock").endswith("the clock is right: the maker says so\n")


@pytest.mark.usefixtures("unset")
@pytest.mark.parametrize(
    ("at", "typed"), [("now", 0), ("3 h ago", 0), ("yesterday 16:30", 1), ("2026-01-02 03:04", 1)]
)
def test_an_entry_keeps_whether_its_time_was_typed(
    call: Call, dairy: Path, at: str, typed: int
) -> None:
    with closing(Store.open(dairy.with_name("d.sqlite"))) as store:
        call("wheel", "note", "seen", "--at", at)
        rows = store._rows("SELECT boot, unsure, typed FROM journal")
        assert rows == [(clock.boot_id(), 1, typed)]


@pytest.mark.usefixtures("unset")
def test_a_desk_shows_entries_where_they_belong_once_the_clock_is_set(dairy: Path) -> None:
    live = Live.opened(dairy)
    with closing(live.store), closing(Store.open(dairy.with_name("d.sqlite"))) as recorders:
        desk = live.desk()
        entry = desk.append(Noted("seen"), desk.now() - 60.0, "TT")
        desk.picture()
        before = clock.stamp()
        set_now = replace(before, wall=before.wall + 7200.0, by=SetBy.NETWORK)
        recorders.place(set_now)

        assert desk.changed()
        desk.picture()
        [moved] = desk._entries
        assert moved == desk.entries()[0]
        assert moved.at == pytest.approx(entry.at + 7200.0, abs=1e-3)
