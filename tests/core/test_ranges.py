"""The range of a channel: whose edges, what they depend on, and the nearest compromise."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.alarms.limits import Side, Tuning, edge_of
from cavewatch.core.journal import Entry, Made
from cavewatch.core.place import Place
from cavewatch.core.ranges import BRINE, Edge, Range, clash_words, range_of
from cavewatch.core.reading import Quantity
from cavewatch.core.style import BrinePlan, DryPlan, Figure, Limits, Method, Style, When
from cavewatch.core.wheel import Wheel, fold

SOURCE = "invented for the tests"
TEMPERATURE, HUMIDITY = Quantity.TEMPERATURE, Quantity.HUMIDITY
WARM = Limits(85.0, 98.0, SOURCE, When(TEMPERATURE, 14.0, low=92.0))


WHERE = ("near cave", Method.BRINE, True)


def wheel(style: Style, places: dict[str, Place], place: str, method: Method, done: bool) -> Wheel:
    made = Made((1,), style.id, method, 2500.0, place, salting_done=done)
    return fold([Entry(1, 0.0, 0.0, "MK", made)], {style.id: style}, places)[0][1]


def edges(limits: Range) -> tuple[float | None, float | None]:
    return (
        None if limits.low is None else limits.low.value,
        None if limits.high is None else limits.high.value,
    )


@pytest.mark.parametrize(
    ("measured", "low"),
    [({TEMPERATURE: 14.0}, 85.0), ({TEMPERATURE: 14.1}, 92.0), ({HUMIDITY: 99.0}, 92.0)],
)
def test_a_warm_cave_wants_more_humidity_and_so_does_one_of_unknown_temperature(
    style: Style, places: dict[str, Place], measured: dict[Quantity, float], low: float
) -> None:
    damp = replace(style, stages=(replace(style.stages[1], humidity=WARM),))
    aging = [wheel(damp, places, "near cave", Method.BRINE, True)]
    limits = range_of(places["near cave"], HUMIDITY, aging, 1.0, measured)
    assert edges(limits) == (low, 98.0)
    assert limits.low is not None
    assert limits.low.whose == "Meadow, cave"


edge = st.none() | st.floats(0, 100)


@given(edge, edge, edge, edge, st.floats(0, 30))
def test_without_the_other_reading_the_range_is_inside_of_both_cases(
    low: float | None,
    high: float | None,
    when_low: float | None,
    when_high: float | None,
    above: float,
) -> None:
    limits = Limits(low, high, SOURCE, When(TEMPERATURE, above, when_low, when_high))
    blind = limits.at({})
    for read in (above, above + 1):
        case = limits.at({TEMPERATURE: read})
        assert case.when is None
        assert case.low is None or (blind.low is not None and blind.low >= case.low)
        assert case.high is None or (blind.high is not None and blind.high <= case.high)


def test_the_tightest_second_edge_of_the_styles_holds_unless_the_config_has_one(
    style: Style, places: dict[str, Place]
) -> None:
    cave, tuned = places["near cave"], Tuning(3.0, 600.0, 300.0)
    urgent = [
        Limits(85.0, 95.0, SOURCE, when, low_low=70.0, high_high=high_high)
        for when, high_high in ((When(TEMPERATURE, 14.0, low=92.0), 99.0), (None, 98.5))
    ]
    aging = [
        wheel(replace(style, stages=(replace(style.stages[1], humidity=limits),)), places, *WHERE)
        for limits in urgent
    ]
    found = range_of(cave, HUMIDITY, aging, 1.0, {TEMPERATURE: 15.0})
    assert edges(found) == (92.0, 95.0)
    assert edge_of(found, Side.HIGH_HIGH, tuned) == Edge(98.5, "Meadow, cave")
    assert edge_of(found, Side.LOW_LOW, tuned) == Edge(70.0, "Meadow, cave")
    assert edge_of(found, Side.LOW_LOW, replace(tuned, low_low=75.0)) == Edge(75.0, "config")
    assert edge_of(range_of(cave, HUMIDITY, [], 1.0), Side.LOW_LOW, tuned) is None


def test_a_range_fixed_by_the_maker_holds_whatever_the_wheels_want(
    style: Style, places: dict[str, Place]
) -> None:
    aging = [wheel(style, places, "near cave", Method.BRINE, True)]
    cave = places["near cave"]
    assert edges(range_of(cave, HUMIDITY, aging, 1.0)) == (70.0, 80.0)
    fixed = replace(cave, fixed=True)
    assert edges(range_of(fixed, HUMIDITY, aging, 1.0)) == (80.0, 95.0)
    # Fixed says nothing of a quantity that has no range of its own.
    half = replace(fixed, own={TEMPERATURE: cave.own[TEMPERATURE]})
    assert edges(range_of(half, HUMIDITY, aging, 1.0)) == (70.0, 80.0)


def test_a_tub_keeps_the_brines_own_limit_beside_that_of_its_wheels(
    style: Style, places: dict[str, Place]
) -> None:
    tub = places["tub"]
    assert edges(range_of(tub, TEMPERATURE, [], 1.0)) == (None, BRINE.high)
    strength = Figure(20, 18, 22, SOURCE)
    mild = replace(style, brine=BrinePlan(strength, Limits(12.0, 20.0, SOURCE)))
    limits = range_of(tub, TEMPERATURE, [wheel(mild, places, "tub", Method.BRINE, False)], 1.0)
    assert edges(limits) == (12.0, BRINE.high)
    assert limits.high is not None
    assert limits.high.whose == "the brine"
    own = replace(tub, own={TEMPERATURE: Limits(10.0, 18.0, SOURCE)})
    assert edges(range_of(own, TEMPERATURE, [], 1.0)) == (10.0, 18.0)


def test_a_wheel_in_dry_salt_brings_what_its_style_wants_meanwhile(
    style: Style, places: dict[str, Place]
) -> None:
    tray = places["tray"]
    salted = wheel(style, places, "tray", Method.DRY, False)
    assert edges(range_of(tray, TEMPERATURE, [salted], 1.0)) == (None, None)
    assert isinstance(style.dry, DryPlan)
    dry = replace(style.dry, temperature=Limits(13.0, 16.0, SOURCE))
    limits = range_of(tray, TEMPERATURE, [replace(salted, style=replace(style, dry=dry))], 1.0)
    assert edges(limits) == (13.0, 16.0)
    assert limits.low is not None
    assert limits.low.whose == "Meadow, in dry salt"


@given(st.floats(-5, 40), st.floats(0.01, 20))
def test_the_compromise_misses_both_edges_alike_and_no_value_is_nearer(
    high: float, gap: float
) -> None:
    limits = Range(Edge(high + gap, "a"), Edge(high, "b"))
    middle = limits.compromise
    assert middle is not None
    missed = middle - high
    assert missed == pytest.approx(gap / 2)
    for other in (middle - 0.1, middle + 0.1):
        assert max(other - high, high + gap - other) > missed


def test_without_a_clash_there_is_nothing_to_say() -> None:
    limits = Range(Edge(10.0, "a"), Edge(10.0, "b"))
    assert (limits.clash, limits.compromise) == (False, None)
    assert clash_words(TEMPERATURE, limits, lambda *_: "", lambda *_: "") == ""
