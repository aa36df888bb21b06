"""Stages and ages of wheels: where their clocks start and what does not count."""

from dataclasses import replace

import pytest

from cavewatch.core.journal import Entry, Lifted, Made, Moved
from cavewatch.core.place import Place
from cavewatch.core.record import counted
from cavewatch.core.stages import DAY, HOUR, ripened, stage_of, staged, started
from cavewatch.core.style import Method, MinimumAge, Start, Style
from cavewatch.core.wheel import Wheel, fold


@pytest.fixture
def wheel(style: Style, places: dict[str, Place]) -> Wheel:
    """Made at 0, renneted at 1 h, moulded at 3 h, in brine from 1 d to 3 d, in a cave from 4 d."""
    made = Made(
        (1,),
        style.id,
        Method.BRINE,
        2500.0,
        "tub",
        None,
        False,
        0.0,
        True,
        "",
        None,
        HOUR,
        3 * HOUR,
    )
    acts = ((DAY, made), (3 * DAY, Lifted((1,), "tray")), (4 * DAY, Moved((1,), "near cave")))
    entries = [Entry(n, at, at, "MK", act) for n, (at, act) in enumerate(acts, 1)]
    return fold(entries, {style.id: style}, places)[0][1]


def test_each_clock_starts_at_its_own_moment(wheel: Wheel) -> None:
    assert {start: started(wheel, start) for start in Start} == {
        Start.MAKE: 0.0,
        Start.RENNETING: HOUR,
        Start.MOULDING: 3 * HOUR,
        Start.BRINE_OUT: 3 * DAY,
        Start.CAVE_ENTRY: 4 * DAY,
    }


def test_what_is_not_on_record_falls_back_to_the_make(wheel: Wheel) -> None:
    bare = replace(wheel, renneted_at=None, moulded_at=None, salted_out_at=None, made_at=7.0)
    known = (Start.RENNETING, Start.MOULDING, Start.BRINE_OUT)
    assert [started(bare, start) for start in known] == [7.0, 7.0, 7.0]


def test_before_it_comes_into_a_cave_that_clock_stands_still(wheel: Wheel) -> None:
    outside = replace(wheel, stays=wheel.stays[:2])
    assert started(outside, Start.CAVE_ENTRY) is None
    rule = MinimumAge("decree", 28, Start.CAVE_ENTRY, "")
    assert counted(rule, outside, 90 * DAY).reached_at is None
    waiting = replace(outside, style=replace(wheel.style, stages_start=Start.CAVE_ENTRY))
    assert stage_of(waiting, 90 * DAY) is wheel.style.stages[0]


@pytest.mark.parametrize(
    ("start", "end"),
    [(Start.RENNETING, 2 * DAY + HOUR), (Start.BRINE_OUT, 5 * DAY), (Start.CAVE_ENTRY, 6 * DAY)],
)
def test_a_stage_ends_its_days_after_the_styles_own_start(
    wheel: Wheel, start: Start, end: float
) -> None:
    # The first stage of the invented style is 2 days long.
    aging = replace(wheel, style=replace(wheel.style, stages_start=start))
    assert stage_of(aging, end - 1) is wheel.style.stages[0]
    assert stage_of(aging, end) is wheel.style.stages[1]
    last = staged(aging, end)
    assert last is not None
    assert (last.since, last.until) == (end, None)


def test_a_wheel_has_its_loss_behind_it_in_a_straight_line_from_salt_to_ripeness(
    wheel: Wheel,
) -> None:
    # Lifted at 3 d, usually ready at 60 d.
    assert ripened(wheel, 3 * DAY) == 0.0
    assert ripened(wheel, 31.5 * DAY) == pytest.approx(0.5)
    assert ripened(wheel, 90 * DAY) == 1.0
    assert ripened(replace(wheel, salted_out_at=None), 90 * DAY) == 0.0
