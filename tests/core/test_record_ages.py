"""Ages by the clock of a rule: what counts, what is cold, and what is not on record."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.journal import Entry, Lifted, Made, Moved, Treatment
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.record import RAW_MILK, Air, counted, raw_milk
from cavewatch.core.stages import DAY, HOUR
from cavewatch.core.style import Method, MinimumAge, Start, Style
from cavewatch.core.wheel import Stay, Wheel, fold

RAW = MinimumAge("raw milk", 60, Start.MAKE, "invented for the tests", warm=1.67)
STORED = MinimumAge("decree", 10, Start.MOULDING, "invented for the tests", storage=72)


@pytest.fixture
def wheel(style: Style, places: dict[str, Place]) -> Wheel:
    """Made at 0, moulded at 3 h, in brine from 1 d to 3 d, then on a tray, in a cave from 4 d."""
    made = Made((1,), style.id, Method.BRINE, 2500.0, "tub", made_at=0.0, moulded_at=3 * HOUR)
    acts = ((DAY, made), (3 * DAY, Lifted((1,), "tray")), (4 * DAY, Moved((1,), "near cave")))
    entries = [Entry(n, at, at, "MK", act) for n, (at, act) in enumerate(acts, 1)]
    return fold(entries, {style.id: style}, places)[0][1]


def warm(place: str, since: float, until: float, coldest: float = 12.0) -> Air:
    return Air(place, since * DAY, until * DAY, coldest)


def test_only_time_known_to_be_at_35_degf_or_warmer_counts(wheel: Wheel) -> None:
    airs = [
        warm("tub", 0, 9),  # in it for two days
        warm("near cave", 10, 11, 0.5),
        warm("near cave", 12, 13, 1.67),
        warm("far cave", 14, 20),  # it never was there
        warm("near cave", 20, 40),
    ]
    age = counted(RAW, wheel, 30 * DAY, airs)
    assert age.days == pytest.approx(2 + 1 + 10)
    assert age.cold == pytest.approx(1)
    # A day before it was entered, one on the tray, and the cave's gaps.
    assert age.unknown == pytest.approx(30 - 13 - 1)
    assert age.reached_at == pytest.approx((30 + 60 - 13) * DAY)


def test_without_a_record_nothing_counts_for_a_rule_that_wants_warmth(wheel: Wheel) -> None:
    age = counted(RAW, wheel, 30 * DAY)
    assert (age.days, age.cold, age.unknown) == (0.0, 0.0, pytest.approx(30))


def test_once_reached_the_moment_stays_that_at_which_the_days_were_full(wheel: Wheel) -> None:
    airs = [warm("near cave", 4, 34), warm("near cave", 44, 200)]
    for at in (75, 90, 150):
        assert counted(RAW, wheel, at * DAY, airs).reached_at == pytest.approx((44 + 30) * DAY)


def test_a_stay_in_a_store_does_not_count_and_may_be_too_long(wheel: Wheel) -> None:
    def stored(hours: float) -> Wheel:
        out = Stay(5 * DAY + hours * HOUR, "near cave", PlaceKind.CAVE)
        return replace(wheel, stays=(*wheel.stays, Stay(5 * DAY, "store", PlaceKind.STORE), out))

    short, long = (counted(STORED, stored(hours), 12 * DAY) for hours in (72, 73))
    assert short.stored == pytest.approx(3)
    assert short.days == pytest.approx(12 - 3 - 0.125)
    assert (short.stored_too_long, long.stored_too_long) == (False, True)


def test_a_clock_that_has_not_started_counts_nothing(wheel: Wheel) -> None:
    age = counted(RAW, replace(wheel, made_at=99 * DAY), 30 * DAY)
    assert (age.days, age.reached_at) == (0.0, None)


@given(
    st.lists(st.floats(0.1, 5), min_size=1, max_size=9),
    st.lists(st.none() | st.floats(-3, 12), min_size=9, max_size=9),
    st.floats(0, 60),
)
def test_what_counts_what_is_cold_and_what_is_unknown_make_the_whole_age(
    lengths: list[float], coldest: list[float | None], age: float
) -> None:
    ends = [sum(lengths[:n]) * DAY for n in range(len(lengths) + 1)]
    airs = [
        Air("cave", since, until, cold)
        for since, until, cold in zip(ends, ends[1:], coldest, strict=False)
        if cold is not None
    ]
    found = counted(RAW, _in_cave(), age * DAY, airs)
    assert found.days + found.cold + found.unknown == pytest.approx(age, abs=1e-6)
    assert min(found.days, found.cold, found.unknown) >= 0
    assert found.reached_at is not None
    if found.days < RAW.days:
        assert found.reached_at == pytest.approx((age + 60 - found.days) * DAY)
    # Any other order of the hours tells the same.
    assert counted(RAW, _in_cave(), age * DAY, reversed(airs)) == found


def test_raw_and_merely_warmed_milk_are_under_the_rule_and_pasteurised_milk_is_not(
    wheel: Wheel,
) -> None:
    assert raw_milk(Treatment.RAW, wheel) == raw_milk(Treatment.HEATED, wheel) == RAW_MILK
    assert raw_milk(Treatment.PASTEURISED, wheel) is None
    assert raw_milk(None, wheel) is None
    own = replace(wheel, style=replace(wheel.style, ages=(STORED, RAW)))
    assert raw_milk(Treatment.RAW, own) is RAW


def _in_cave() -> Wheel:
    """Only what `counted` looks at."""
    stay = Stay(0.0, "cave", PlaceKind.CAVE)
    blank = dict.fromkeys(Wheel.__dataclass_fields__)
    return Wheel(**{**blank, "made_at": 0.0, "stays": (stay,)})  # type: ignore[arg-type]
