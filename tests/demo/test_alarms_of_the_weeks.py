"""The demo's week raises the alarms of its planted faults, and a normal week next to none."""

from functools import cache
from pathlib import Path

import pytest

import demo
from cavewatch.cli.recorded import Recorded
from cavewatch.cli.rehearsal import Rehearsal, rehearse
from cavewatch.core.alarms.table import Trigger
from demo import week
from demo.days import march

HERE = Path(demo.__file__).parent
FORETOLD = "lower cave.temperature high forecast"
PLANTED = {
    "wheel 48 turn late": (march(3, 17), march(3, 18, 50)),
    "tub.temperature silent": week.UNPLUGGED,
    "upper cave.humidity low": week.DRY,
    "lower cave.temperature high": week.ICED,
}
"""Each planted fault's alarm, and how long its cause lasts."""


@cache
def planted() -> Rehearsal:
    found = Recorded.opened(HERE / "week.csv", None)
    return rehearse(found.log, found.config, found.entries)


@pytest.fixture(scope="module")
def normal(tmp_path_factory: pytest.TempPathFactory) -> Rehearsal:
    folder = tmp_path_factory.mktemp("normal")
    (folder / "normal.csv").write_text(week.log(week.NORMAL), encoding="ascii")
    (folder / "normal.journal.jsonl").write_text(week.journal(week.NORMAL), encoding="ascii")
    found = Recorded.opened(folder / "normal.csv", HERE / "week.toml")
    return rehearse(found.log, found.config, found.entries)


def test_each_planted_fault_raises_its_alarm_once_and_nothing_else_does() -> None:
    # The thawing coil warms the cave so steadily that its alarm is foretold as well.
    assert dict(planted().alarms.raised) == dict.fromkeys([*PLANTED, FORETOLD], 1)


@pytest.mark.parametrize("key", PLANTED)
def test_an_alarm_comes_while_its_cause_lasts_and_goes_soon_after(key: str) -> None:
    (came,) = (
        t.at for t in planted().transitions if t.alarm.key == key and t.trigger is Trigger.ABNORMAL
    )
    (went,) = (
        t.at for t in planted().transitions if t.alarm.key == key and t.trigger is Trigger.NORMAL
    )
    begun, over = PLANTED[key]
    assert begun < came < over
    assert over <= went < over + 3600.0


def test_the_foretold_crossing_came_true_and_none_was_foretold_falsely() -> None:
    found = planted().forecasts
    assert (found.hits, found.false_calls) == (1, 0)
    assert 0.5 * 3600.0 < found.lead[0] < 4 * 3600.0


def test_a_normal_week_has_five_alarms_at_most_and_no_nuisance(normal: Rehearsal) -> None:
    assert normal.alarms.total <= 5
    assert normal.alarms.chattering == ()
    assert normal.alarms.fleeting == ()
    assert normal.alarms.stale == ()
    assert normal.forecasts.false_calls == 0


def test_a_normal_week_is_long_and_watched_throughout(normal: Rehearsal) -> None:
    assert normal.until - normal.since == 7 * 86400.0 - week.ROW
    assert len(normal.exposures) == len(week.TITLES)
    assert all(found.unwatched < week.ROW for found in normal.exposures)


def test_the_planted_gap_is_the_only_time_that_nobody_watched() -> None:
    gaps = {str(found.channel): found.unwatched for found in planted().exposures}
    assert 3000.0 < gaps.pop("tub.temperature") <= 3600.0
    assert set(gaps.values()) == {0.0}
