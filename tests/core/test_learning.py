"""What the maker's wheels teach: assays, weights, outliers and usual times."""

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.journal import Act, Assayed, Entry, Voided, Weighed
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.salting.countdowns import countdown
from cavewatch.core.salting.evidence import Saying
from cavewatch.core.salting.guesses import Rate, guesses
from cavewatch.core.salting.learning import learned, measured, outliers, updated
from cavewatch.core.salting.salted import Track
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.salting.usual import SCATTER, prior, usual_doubt
from cavewatch.core.style import Method, Style, Usual
from cavewatch.core.wheel import Event, Happening, Standing, Wheel

HOUR = 3600.0
DAY = 24 * HOUR
AROUND = {
    "tub": Surroundings(WarmthRecord([0.0], [12.0]), ((0.0, 20.0),)),
    "tray": Surroundings(WarmthRecord([0.0], [12.0])),
    "cave": Surroundings(WarmthRecord([0.0], [12.0])),
}
LIFT = 30 * HOUR


def wheel(style: Style, number: int, place: str = "tub", lift: float = LIFT) -> Wheel:
    history = (
        Happening(0.0, Event.IN, place),
        Happening(0.0, Event.SALTED, place, 200.0),
        Happening(lift / 2, Event.TURNED, place),
        Happening(lift / 2, Event.SALTED, place, 200.0),
        Happening(lift, Event.OUT, "cave"),
    )
    return Wheel(
        id=number,
        make=1,
        lot="",
        style=style,
        method=Method.BRINE,
        weight=2500.0,
        shape=style.proportions.sized(2500.0 / style.density.value),
        made_at=0.0,
        floats=True,
        place="cave",
        since=lift,
        standing=Standing.AGING,
        salted_out_at=lift,
        history=history,
        basis=1,
    )


def taken(style: Style, factor: float) -> tuple[float, float]:
    """Salt [%] and weight [g] at the lift of a wheel with this rate factor."""
    one = wheel(style, 1)
    uptake = guesses(one, AROUND["tub"], 0.0, Rate(factor, 0.0)).expected
    mean = Track.of(uptake, AROUND, one.history).mean(LIFT)
    return uptake.body.salt_percent(mean), uptake.body.weight_now(mean)


@pytest.fixture
def teach(style: Style) -> Callable[..., dict[str, Rate]]:
    def run(*acts: tuple[float, Act], place: str = "tub") -> dict[str, Rate]:
        entries = [Entry(n, at, at, "MK", act) for n, (at, act) in enumerate(acts, start=1)]
        wheels = {number: wheel(style, number, place) for number in range(1, 9)}
        return learned({style.id: style}, wheels, entries, AROUND).rates

    return run


Teach = Callable[..., dict[str, Rate]]


def test_nothing_is_learned_from_nothing(teach: Teach) -> None:
    assert teach() == {}


@pytest.mark.parametrize("factor", [0.3, 0.8, 1.6])
def test_assays_bring_the_rate_to_the_makers_own(teach: Teach, style: Style, factor: float) -> None:
    salt, _ = taken(style, factor)
    rate = teach(*((LIFT, Assayed((number,), salt, 0.05)) for number in range(1, 9)))[style.id]
    before = Rate.of(style.rate)
    assert rate.wheels == 8
    # Eight wheels outweigh the style book by a good ten to one.
    pull = abs(math.log(before.value / factor))
    assert abs(math.log(rate.value / factor)) < 0.1 * pull + 0.01
    assert rate.low < factor < rate.high


def test_more_wheels_narrow_the_band_but_never_below_the_scatter_between_them(
    teach: Teach, style: Style
) -> None:
    salt, _ = taken(style, 0.6)
    spreads = [Rate.of(style.rate).spread]
    for count in (1, 2, 4, 8):
        acts = [(LIFT, Assayed((number,), salt, 0.05)) for number in range(1, count + 1)]
        spreads.append(teach(*acts)[style.id].spread)
    assert spreads == sorted(spreads, reverse=True)
    assert spreads[-1] > SCATTER


def test_a_poor_assay_says_less_than_a_good_one(teach: Teach, style: Style) -> None:
    salt, _ = taken(style, 1.2)
    good, poor = (teach((LIFT, Assayed((1,), salt, error)))[style.id] for error in (0.05, 0.4))
    assert good.spread < poor.spread < Rate.of(style.rate).spread
    assert Rate.of(style.rate).value < poor.value < good.value < 1.2


def test_an_assay_in_the_cave_is_corrected_for_the_weight_lost_since(
    teach: Teach, style: Style
) -> None:
    # The style loses 2 to 6 %, 4 expected, from the lift to its 60 days.
    salt, _ = taken(style, 0.6)
    at_lift = teach((LIFT, Assayed((1,), salt, 0.05)))[style.id]
    half_way = (LIFT + 60 * DAY) / 2
    for at, kept in ((half_way, 0.98), (60 * DAY, 0.96), (400 * DAY, 0.96)):
        aged = teach((at, Assayed((1,), salt / kept, 0.05 / kept)))[style.id]
        assert aged.value == pytest.approx(at_lift.value, rel=0.005)
        assert aged.spread > at_lift.spread


def test_wheels_assayed_together_say_what_one_assay_says(teach: Teach, style: Style) -> None:
    salt, _ = taken(style, 1.0)
    one, two = (teach((LIFT, Assayed(some, salt, 0.3)))[style.id] for some in ((1,), (1, 2)))
    apart = teach((LIFT, Assayed((1,), salt, 0.3)), (LIFT, Assayed((2,), salt, 0.3)))[style.id]
    assert (one.wheels, two.wheels) == (1, 2)
    # Two wheels halve the scatter's variance, but the assay's error stays.
    assert apart.spread < two.spread < one.spread


def test_a_weight_says_the_same_but_less(teach: Teach, style: Style) -> None:
    salt, weight = taken(style, 1.0)
    # A poor assay: the water that came out per salt is known to a third only.
    by_assay = teach((LIFT, Assayed((1,), salt, 0.3)))[style.id]
    by_weight = teach((LIFT, Weighed((1,), weight)))[style.id]
    before = Rate.of(style.rate)
    assert before.value < by_weight.value < by_assay.value < 1.0
    assert by_assay.spread < by_weight.spread < before.spread


def test_a_wheel_measured_twice_is_one_wheel(teach: Teach, style: Style) -> None:
    salt, weight = taken(style, 1.0)
    both = teach((LIFT, Assayed((1,), salt, 0.1)), (LIFT, Weighed((1,), weight)))[style.id]
    assert both.wheels == 1


@pytest.mark.parametrize("act", [Assayed((1,), 1.8, 0.1), Weighed((1,), 2400.0)])
def test_dry_salt_and_wheels_not_yet_in_teach_nothing(teach: Teach, act: Act) -> None:
    assert teach((LIFT, act), place="tray") == {}
    assert teach((0.0, act)) == {}


def test_a_voided_assay_does_not_count(teach: Teach) -> None:
    assert teach((LIFT, Assayed((1,), 1.8, 0.1)), (LIFT, Voided(1))) == {}
    assert measured([Entry(1, 0.0, 0.0, "MK", Assayed((3, 4), 1.8, 0.1))]) == {3, 4}


def test_an_outlier_is_named_and_left_out(style: Style) -> None:
    salt, _ = taken(style, 0.6)
    acts = [Assayed((number,), salt, 0.05) for number in (1, 2, 3)]
    wheels = {number: wheel(style, number) for number in (1, 2, 3, 4, 5)}
    good = [Entry(n, LIFT, LIFT, "MK", act) for n, act in enumerate(acts, start=1)]
    # One took three times as much, as a slip of the pen would have it; one could not have.
    bad = [
        Entry(8, LIFT, LIFT, "MK", Assayed((4,), 3 * salt, 0.05)),
        Entry(9, LIFT, LIFT, "MK", Assayed((5,), 14.0, 0.05)),
    ]
    book = {style.id: style}
    alone, found = (learned(book, wheels, some, AROUND) for some in (good, bad + good))
    assert found.rates == alone.rates
    assert alone.doubts == ()
    assert [doubt.split(" is left out: ")[0] for doubt in found.doubts] == ["wheel 5", "wheel 4"]
    assert "nothing explains how much salt" in found.doubts[0]
    assert "times as fast as expected" in found.doubts[1]


sayings = st.lists(
    st.tuples(st.floats(-3.0, 3.0), st.floats(SCATTER, 2.0)), min_size=1, max_size=6
).map(lambda some: [Saying(n, log, error) for n, (log, error) in enumerate(some, start=1)])


@given(sayings, st.floats(0.1, 3.0), st.floats(0.01, 1.0))
def test_a_rate_never_leaves_what_was_heard_nor_widens(
    heard: list[Saying], value: float, spread: float
) -> None:
    before = Rate(value, spread)
    after = updated(before, heard)
    logs = [math.log(value), *(saying.log for saying in heard)]
    assert min(logs) - 1e-9 <= math.log(after.value) <= max(logs) + 1e-9
    assert after.spread <= before.spread
    assert after.wheels == len(heard)
    assert updated(before, list(reversed(heard))).value == pytest.approx(after.value)


@given(sayings)
def test_who_is_left_out_does_not_depend_on_the_order(heard: list[Saying]) -> None:
    before = Rate(0.6, 0.4)
    left_out = {saying.wheel for saying in outliers(before, heard)}
    logs = [saying.log for saying in heard]
    if len(set(logs)) == len(logs):
        assert {saying.wheel for saying in outliers(before, heard[::-1])} == left_out


def test_a_usual_time_sets_the_rate_and_the_countdown_says_so(style: Style) -> None:
    usual = Usual(time=30.0, weight=2500.0, strength=20.0, temperature=12.0)
    stated = replace(style, usual=usual)
    rate = prior(stated)
    one = replace(
        wheel(stated, 1),
        standing=Standing.IN_BRINE,
        place="tub",
        floats=False,
        history=(Happening(0.0, Event.IN, "tub"),),
    )
    found = countdown(one, AROUND, 0.0)
    assert rate.usual
    assert rate.spread < Rate.of(style.rate).spread
    assert found.steps[-1].at.expected == pytest.approx(30 * HOUR, rel=0.005)
    assert "by your usual time" in found.reason
    assert usual_doubt(stated) == ""
    assert learned({"meadow": stated}, {}, [], AROUND).rates == {"meadow": rate}


def test_assays_outweigh_a_usual_time_and_are_counted_instead(style: Style) -> None:
    stated = replace(style, usual=Usual(30.0, 2500.0, 20.0, 12.0))
    salt, _ = taken(style, 2 * prior(stated).value)
    wheels = {number: wheel(stated, number) for number in range(1, 7)}
    entries = [Entry(n, LIFT, LIFT, "MK", Assayed((n,), salt, 0.05)) for n in wheels]
    rate = learned({"meadow": stated}, wheels, entries, AROUND).rates["meadow"]
    assert rate.value / prior(stated).value == pytest.approx(2.0, rel=0.15)
    found = countdown(
        replace(wheels[1], standing=Standing.IN_BRINE), AROUND, LIFT, {"meadow": rate}
    )
    assert "from 6 of your wheels" in found.reason


@pytest.mark.parametrize(("time", "much"), [(0.5, "short"), (2000.0, "long")])
def test_an_impossible_usual_time_is_left_out_and_said(
    style: Style, time: float, much: str
) -> None:
    stated = replace(style, usual=Usual(time, 2500.0, 20.0, 12.0))
    assert prior(stated) == Rate.of(style.rate)
    (doubt,) = learned({"meadow": stated}, {}, [], AROUND).doubts
    assert f"far too {much} for 2500 g" in doubt
