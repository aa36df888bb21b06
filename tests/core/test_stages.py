"""Stages and ages of wheels: where their clocks start and what does not count."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.journal import Entry, Lifted, Made, Moved
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.stages import DAY, HOUR, Air, counted, stage_of, staged, started
from cavewatch.core.style import Method, MinimumAge, Start, Style
from cavewatch.core.wheel import Stay, Wheel, fold

RAW = MinimumAge("raw milk", 60, Start.MAKE, "invented for the tests", warm=1.67)
STORED = MinimumAge("decree", 10, Start.MOULDING, "invented for the tests", storage=72)


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


def test_time_below_35_degf_does_not_count_towards_raw_milk_days(wheel: Wheel) -> None:
    airs = [
        Air("near cave", 10 * DAY, 11 * DAY, 0.5),
        Air("near cave", 12 * DAY, 13 * DAY, 1.67),
        Air("far cave", 14 * DAY, 20 * DAY, -2.0),
        Air("near cave", 2 * DAY, 5 * DAY, 1.0),
    ]
    age = counted(RAW, wheel, 30 * DAY, airs)
    # One cold day, and of the other stretch the day for which it was there; the rest is elsewhere.
    assert age.days == pytest.approx(28)
    assert age.left_out == pytest.approx(2)
    assert age.reached_at == pytest.approx(62 * DAY)


def test_a_stay_in_a_store_does_not_count_and_may_be_too_long(wheel: Wheel) -> None:
    def stored(hours: float) -> Wheel:
        out = Stay(5 * DAY + hours * HOUR, "near cave", PlaceKind.CAVE)
        return replace(wheel, stays=(*wheel.stays, Stay(5 * DAY, "store", PlaceKind.STORE), out))

    short, long = (counted(STORED, stored(hours), 12 * DAY) for hours in (72, 73))
    assert short.left_out == pytest.approx(3)
    assert short.days == pytest.approx(12 - 3 - 0.125)
    assert (short.stored_too_long, long.stored_too_long) == (False, True)


@given(
    st.lists(st.floats(0.1, 5), min_size=1, max_size=9),
    st.lists(st.floats(-3, 12), min_size=9, max_size=9),
    st.floats(0, 60),
)
def test_what_counts_and_what_does_not_make_the_whole_age(
    lengths: list[float], coldest: list[float], age: float
) -> None:
    ends = [sum(lengths[:n]) * DAY for n in range(len(lengths) + 1)]
    airs = [
        Air("cave", since, until, cold)
        for since, until, cold in zip(ends, ends[1:], coldest, strict=False)
    ]
    found = counted(RAW, _in_cave(), age * DAY, airs)
    assert found.days + found.left_out == pytest.approx(age, abs=1e-6)
    assert 0 <= found.left_out <= age + 1e-9
    assert found.reached_at is not None
    assert found.reached_at == pytest.approx((60 + found.left_out) * DAY)


def _in_cave() -> Wheel:
    """Only what `counted` looks at."""
    stay = Stay(0.0, "cave", PlaceKind.CAVE)
    blank = dict.fromkeys(Wheel.__dataclass_fields__)
    return Wheel(**{**blank, "made_at": 0.0, "stays": (stay,)})  # type: ignore[arg-type]
