"""Care of the rind as a person enters it, and a wheel's age by the rules of its style."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from cavewatch import clock
from cavewatch.cli import main
from cavewatch.core.journal import Against, Made, SensorChecked, Wash, Washed
from cavewatch.core.reading import Channel, Reading
from cavewatch.store import Store

DAY = 86400.0


@pytest.fixture
def run(tmp_path: Path):  # type: ignore[no-untyped-def]
    (tmp_path / "d.toml").write_text(
        '[dairy]\nname = "Test"\nzone = "UTC"\ninitials = "TT"\n[store]\npath = "d.sqlite"\n'
        '[[place]]\nname = "cave"\nkind = "cave"\n[[place]]\nname = "rack"\nkind = "rack"\n'
    )

    def call(*words: str) -> Result:
        return CliRunner().invoke(main, ["--config", str(tmp_path / "d.toml"), *words])

    return call


def new(run, style: str, *more: str) -> None:  # type: ignore[no-untyped-def]
    words = ("new", style, "--place", "cave", "--salted-already", "--at", "20 d ago", *more)
    assert (found := run("wheel", *words)).exit_code == 0, found.output


def test_a_rind_is_washed_or_whatever_is_said(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    new(run, "tilsit")
    assert "entry 2: washed, wheel 1" in run("wheel", "wash", "1").output
    assert run("wheel", "wash", "--in", "cave", "--how", "brush").exit_code == 0
    store = Store.open(tmp_path / "d.sqlite")
    acts = [entry.act for entry in store.entries()][1:]
    store.close()
    assert acts == [Washed((1,), Wash.WASH), Washed((1,), Wash.BRUSH)]


def test_only_hours_on_record_and_warm_enough_count_towards_raw_milk_days(
    run, tmp_path: Path
) -> None:  # type: ignore[no-untyped-def]
    new(run, "cheddar", "--made", "21 d ago")
    before = run("wheel", "age", "1").output
    assert "raw milk, USA: 60 days from make, 0.0 so far (not counted: 21.0 days" in before
    assert "without a temperature on record), to be reached" in before
    assert "cave: Turn every week" in before
    hour = (clock.now() - 10 * DAY) // 3600 * 3600
    store = Store.open(tmp_path / "d.sqlite")
    store.add_readings(
        Reading(Channel.named("cave.temperature"), hour + n * 3600, 1.0 if n < 24 else 12.0)
        for n in range(72)
    )
    store.close()
    after = run("wheel", "age", "1").output
    assert (
        "2.0 so far (not counted: 1.0 days too cold, 18.0 days without a temperature on record), "
        "to be reached"
    ) in after


def test_a_check_of_the_probe_corrects_the_hours_that_are_counted(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    new(run, "cheddar", "--made", "20 d ago")
    hour = (clock.now() - 10 * DAY) // 3600 * 3600
    store = Store.open(tmp_path / "d.sqlite")
    store.add_readings(
        Reading(Channel.named("cave.temperature"), hour + n * 3600, 1.0) for n in range(24)
    )
    # In ice it showed -1 degC: what read 1 degC was 2 degC.
    low = SensorChecked("cave.temperature", Against.ICE, -1.0, 1.0, 0.1, True)
    store.append(hour - DAY, clock.now(), "TT", low)
    store.close()
    assert "1.0 so far (not counted: 19.0 days without" in run("wheel", "age", "1").output


def test_a_decrees_clock_starts_with_the_renneting_that_was_entered(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    new(run, "alpine", "--made", "23 d ago", "--renneted", "22 d ago")
    store = Store.open(tmp_path / "d.sqlite")
    (made,) = (entry.act for entry in store.entries())
    store.close()
    assert isinstance(made, Made)
    assert made.renneted_at == pytest.approx(clock.now() - 22 * DAY, abs=300)
    found = run("wheel", "age", "1").output
    assert "French decree: 120 days from renneting, 22.0 so far" in found
    # 21 days of pre-ripening count from the renneting.
    assert "warm cave, until" in found


def test_there_is_no_age_of_a_wheel_that_is_not_there(run) -> None:  # type: ignore[no-untyped-def]
    found = run("wheel", "age", "7")
    assert found.exit_code == 1
    assert "there is no wheel 7" in found.output
