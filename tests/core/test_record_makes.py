"""The make sheet, weights and milk, from the journal alone."""

from collections.abc import Callable, Iterable
from dataclasses import replace

import pytest

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority
from cavewatch.core.alarms.table import State
from cavewatch.core.journal import (
    Acidity,
    Act,
    Against,
    BrineMeasured,
    Ended,
    Ending,
    Entry,
    Lifted,
    Made,
    Milk,
    Moved,
    Sample,
    SensorChecked,
    Treatment,
    Turned,
    Voided,
    Weighed,
)
from cavewatch.core.place import Place
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.record import (
    Air,
    Gap,
    MakeSheet,
    Missing,
    Occurrence,
    RecordError,
    concerns,
    make_sheet,
    open_lot,
    treatment,
    weights,
)
from cavewatch.core.shape import Cylinder
from cavewatch.core.stages import DAY
from cavewatch.core.style import Figure, Method, Style
from cavewatch.core.wheel import fold

Draw = Callable[..., MakeSheet]


def journal(*acts: tuple[float, Act]) -> list[Entry]:
    return [Entry(n, at * DAY, at * DAY, "MK", act) for n, (at, act) in enumerate(acts, 1)]


MADE = Made((1, 2), "meadow", Method.BRINE, 2500.0, "tub", made_at=0.0, lot="Tue")
LIFE = (
    (0.0, Milk(Treatment.RAW, lot="tue", litres=50.0)),
    (0.1, Acidity(6.5, Sample.MILK, lot="Tue")),
    (0.5, BrineMeasured("tub", 21.0)),
    (1.0, MADE),
    (1.0, Made((3,), "meadow", Method.BRINE, 2500.0, "tub", lot="Wed")),
    (1.5, Turned((1, 2, 3))),
    (2.0, Lifted((1, 2), "tray")),
    (3.0, Moved((1, 2), "near cave")),
    (4.0, Turned((1,))),
    (20.0, Ended((2,), Ending.SOLD)),
    (21.0, Turned((3,))),
    (22.0, Voided(9, "wheel 2")),
)


@pytest.fixture
def draw(style: Style, places: dict[str, Place]) -> Draw:
    def drawn(number: int = 1, entries: Iterable[Entry] | None = None, **more: object) -> MakeSheet:
        facts = journal(*LIFE) if entries is None else list(entries)
        return make_sheet(number, facts, {"meadow": style}, places, 30 * DAY, **more)  # type: ignore[arg-type]

    return drawn


def test_a_sheet_holds_one_make_and_nothing_of_another(draw: Draw) -> None:
    sheet = draw()
    assert [wheel.id for wheel in sheet.wheels] == [1, 2]
    assert sheet.batch == MADE
    # 5 and 12 are about another make; 6 is about both; 9 was struck and stays.
    assert [line.entry.id for line in sheet.lines] == [1, 2, 4, 6, 7, 8, 9, 10]
    (struck,) = (line for line in sheet.lines if line.struck_by)
    assert struck.entry.id == 9
    assert sheet.ended[2].act == Ended((2,), Ending.SOLD)


def test_milk_and_ph_find_their_make_by_its_lot_or_its_wheels(draw: Draw) -> None:
    late = journal(*LIFE, (25.0, Acidity(5.2, Sample.CHEESE, wheels=(2,))))
    sheet = draw(entries=late)
    assert [entry.id for entry in sheet.milk] == [1]
    assert [entry.id for entry in sheet.acidity] == [2, 13]
    assert sheet.treatment is Treatment.RAW
    assert draw(3).milk == ()
    assert draw(3).raw == ()


def test_milk_entered_for_a_time_before_there_were_wheels_is_no_misfit(
    style: Style, places: dict[str, Place]
) -> None:
    entries = journal((1.0, MADE), (0.0, Milk(Treatment.RAW, (1, 9))))
    _, misfits = fold(entries, {"meadow": style}, places)
    assert misfits == ("entry 2: there is no wheel 9",)


def test_a_mixture_counts_as_the_least_that_was_done_to_any_of_its_milk() -> None:
    milk = [Milk(Treatment.PASTEURISED), Milk(Treatment.HEATED)]
    assert treatment(journal(*((0.0, act) for act in milk))) is Treatment.HEATED
    assert treatment([]) is None


def test_it_tells_where_wheels_stood_and_in_which_brine(draw: Draw) -> None:
    sheet = draw()
    assert [(s.place, s.since / DAY, s.until / DAY, s.wheels) for s in sheet.stood] == [
        ("tub", 1, 2, (1, 2)),
        ("tray", 2, 3, (1, 2)),
        ("near cave", 3, 20, (2,)),
        ("near cave", 3, 30, (1,)),
    ]
    (use,) = sheet.brines
    assert use.going_in.expected == pytest.approx(21.0)
    assert use.coming_out.expected < 21.0  # three wheels took salt out of 60 L
    assert [test.id for test in use.tests] == [3]


WARM = [Air("near cave", day * DAY, (day + 1) * DAY, 12.0) for day in range(3, 30)]


def test_raw_milk_days_are_counted_for_wheels_that_went_the_same_way(draw: Draw) -> None:
    (both,) = draw(entries=journal(*LIFE[:9]), airs=WARM).raw
    assert both.wheels == (1, 2)
    assert both.counted.days == pytest.approx(27)
    assert both.left_at is None


def test_raw_milk_days_of_a_wheel_end_when_it_leaves(draw: Draw) -> None:
    stayed, sold = draw(airs=WARM).raw
    assert (stayed.wheels, stayed.counted.days) == ((1,), pytest.approx(27))
    assert (sold.wheels, sold.counted.days) == ((2,), pytest.approx(17))
    assert sold.left_at == 20 * DAY
    # From its make at 0 until day 3 nothing is on record of where it stood.
    assert sold.counted.unknown == pytest.approx(3)


def occurrence(key: str, since: float, until: float | None) -> Occurrence:
    told = Explanation("wrong", "", "", "", 1.0)
    alarm = Alarm(key, State.UNACK, Priority.LOW, since * DAY, told)
    return Occurrence(alarm, since * DAY, None if until is None else until * DAY)


def test_alarms_and_gaps_are_those_of_its_places_while_it_was_there(draw: Draw) -> None:
    meant = [
        occurrence("near cave.humidity low", 2.5, 3.5),
        occurrence("near cave.temperature high", 29, None),
        occurrence("wheels 1, 2 lift late", 1.9, 2.0),
    ]
    others = [
        occurrence("near cave.humidity low", 1.0, 2.5),
        occurrence("far cave.humidity low", 5.0, 6.0),
        occurrence("wheels 3–5 lift late", 1.9, 2.0),
    ]
    channel = Channel("near cave", Quantity.HUMIDITY)
    inside, outside = Missing(channel, Gap(4 * DAY, 5 * DAY)), Missing(channel, Gap(0, DAY))
    sheet = draw(alarms=[*meant, *others], missing=[inside, outside])
    assert list(sheet.alarms) == meant
    assert sheet.missing == (inside,)


def test_checks_of_its_sensors_include_the_last_before_it_came(draw: Draw) -> None:
    def check(channel: str) -> SensorChecked:
        return SensorChecked(channel, Against.ICE, 0.1, -0.1, 0.1, True)

    cave = "near cave.temperature"
    checks = ((0.2, cave), (0.3, cave), (10.0, cave), (10.0, "far cave.temperature"))
    entries = journal(*LIFE, *((at, check(channel)) for at, channel in checks))
    assert [entry.at / DAY for entry in draw(entries=entries).checks] == [0.3, 10.0]


def test_a_wheel_that_is_on_no_record_is_named(draw: Draw) -> None:
    with pytest.raises(RecordError, match="there is no wheel 7"):
        draw(7)


def curve(style: Style, places: dict[str, Place], made: Made, *acts: tuple[float, Act]):  # type: ignore[no-untyped-def]
    entries = journal((1.0, made), *acts)
    every, _ = fold(entries, {"meadow": style}, places)
    return weights(every[1], entries)


LIFTED = (3.0, Lifted((1, 2), "near cave"))


def test_loss_is_counted_from_the_first_weighing_after_salting(
    style: Style, places: dict[str, Place]
) -> None:
    found = curve(
        style,
        places,
        MADE,
        (2.0, Weighed((1,), 2450.0)),
        LIFTED,
        (3.0, Weighed((1,), 2400.0)),
        (4.0, Weighed((2,), 9.0)),
        (31.5, Weighed((1,), 2352.0)),
    )
    assert [each.grams for each in found.weights] == [2450.0, 2400.0, 2352.0]
    assert found.lost == pytest.approx(2.0)
    assert found.per_month == pytest.approx(2.0 * 30.4 / 28.5)
    # Half way to ripeness, at the style's usual weight and shape: half of 2, 4 and 6 %.
    assert found.usual is not None
    assert (found.usual.low, found.usual.expected, found.usual.high) == pytest.approx((1, 2, 3))
    assert found.verdict == "as usual"
    assert style.loss.source in found.sources


@pytest.mark.parametrize(("grams", "verdict"), [(2300.0, "more"), (2399.0, "less")])
def test_more_or_less_than_usual_is_said(
    style: Style, places: dict[str, Place], grams: float, verdict: str
) -> None:
    weighed = ((3.0, Weighed((1,), 2400.0)), (31.5, Weighed((1,), grams)))
    assert curve(style, places, MADE, LIFTED, *weighed).verdict == f"{verdict} than usual"


def test_one_weighing_after_salting_says_nothing_of_drying(
    style: Style, places: dict[str, Place]
) -> None:
    found = curve(style, places, MADE, LIFTED, (31.5, Weighed((1,), 2400.0)))
    assert found.lost == pytest.approx(4.0)
    assert (found.usual, found.per_month, found.verdict) == (None, None, "")


def test_before_it_is_out_of_salt_there_is_no_loss(style: Style, places: dict[str, Place]) -> None:
    found = curve(style, places, MADE, (2.0, Weighed((1,), 2450.0)))
    assert (found.lost, found.base) == (None, None)


def test_a_wheel_salted_before_its_first_entry_loses_from_then_on(
    style: Style, places: dict[str, Place]
) -> None:
    made = replace(MADE, salting_done=True, place="near cave")
    found = curve(style, places, made, (30.5, Weighed((1,), 2425.0)))
    assert found.lost == pytest.approx(3.0)
    assert found.usual is not None
    assert found.usual.expected == pytest.approx(4.0 * 29.5 / 59)


def test_a_small_wheel_usually_loses_more_by_its_surface(
    style: Style, places: dict[str, Place]
) -> None:
    usual = style.proportions.sized(2500 / 1.08)
    assert isinstance(usual, Cylinder)
    half = Cylinder(usual.diameter / 2, usual.height / 2)
    weighed = ((3.0, Weighed((1,), 300.0)), (60.0, Weighed((1,), 280.0)))
    made = replace(MADE, weight=312.5, shape=half)
    found = curve(style, places, made, LIFTED, *weighed)
    assert found.usual is not None
    assert found.usual.expected == pytest.approx(8.0)


def test_a_style_without_a_usual_age_has_its_whole_loss_at_once(
    style: Style, places: dict[str, Place]
) -> None:
    ageless = replace(style, ready_days=None, loss=Figure(4, 2, 6, "invented for the tests"))
    weighed = ((3.0, Weighed((1,), 2400.0)), (31.5, Weighed((1,), 2352.0)))
    found = curve(ageless, places, MADE, LIFTED, *weighed)
    assert found.usual is not None
    assert found.usual.expected == pytest.approx(4.0)


def test_the_open_lot_is_the_last_of_which_there_are_no_wheels() -> None:
    acts = (
        (0.0, Milk(Treatment.RAW, lot="Mon")),
        (1.0, Milk(Treatment.RAW, lot="TUE")),
        (1.1, Acidity(6.6, Sample.MILK, lot="Tue")),
    )
    assert open_lot(journal(*acts)) == "Tue"
    assert open_lot(journal(*acts, (2.0, MADE))) == "Mon"
    assert open_lot(journal(*acts, (2.0, Voided(3)), (2.0, Voided(2)))) == "Mon"
    assert open_lot(journal((2.0, MADE), (2.0, Acidity(5.2, Sample.CHEESE, (1,))))) == ""


def test_an_alarm_that_names_wheels_is_about_no_others(draw: Draw) -> None:
    stood = draw().stood
    late = occurrence("wheels 1, 2 lift late", 1.9, 2.0)
    assert concerns(late, stood, {2})
    assert not concerns(late, stood, {3})
    assert concerns(occurrence("near cave.humidity low", 2.5, 3.5), stood, {1})
