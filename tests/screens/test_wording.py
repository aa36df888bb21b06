"""Countdowns, values and entries in words."""

from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest

from cavewatch.core import journal
from cavewatch.core.countdown import Action, Span
from cavewatch.core.ranges import Edge, Range
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.screens import wording
from cavewatch.units import Display, System

UTC = ZoneInfo("UTC")
METRIC, US = Display(), Display(System.US)


@pytest.mark.parametrize(
    ("left", "expected"),
    [
        (3 * 86400 + 4 * 3600 + 59, "in 3 d 4 h"),
        (3 * 3600 + 10 * 60 + 59, "in 3 h 10"),
        (59 * 60, "in 59 min"),
        (600, "in 10 min"),
        (599, "in 9 min 59"),
        (61, "in 1 min 01"),
        (40, "in 40 s"),
        (0, "now"),
        (-59, "now"),
        (-60, "late 1 min"),
        (-12 * 60 - 30, "late 12 min"),
        (-26 * 3600, "late 1 d 2 h"),
    ],
)
def test_a_countdown_shows_seconds_only_in_its_last_ten_minutes(left: float, expected: str) -> None:
    assert wording.until(1e9 + left, 1e9) == expected


def test_a_countdown_names_its_action() -> None:
    assert wording.countdown(Action.LIFT, 1e9 + 7200, 1e9) == "lift in 2 h 00"
    assert wording.countdown(Action.SALT_FACE, 1e9 - 600, 1e9) == "salt late 10 min"


def test_when_it_comes_out_has_its_range(scene: SimpleNamespace) -> None:
    out = scene.NOW + 15 * 3600
    span = Span(out - 2.5 * 3600, out, out + 5 * 3600)
    assert wording.out(span, scene.NOW, UTC) == "out tomorrow 06:30, 04:00–11:30"
    late = Span(out - 2.5 * 3600, out, out + 86400)
    assert wording.out(late, scene.NOW, UTC) == "out Wed 06:30, 04:00–Thu 06:30"
    early = Span(scene.NOW + 3600, out, out + 86400)
    assert wording.out(early, scene.NOW, UTC) == "out Wed 06:30, Tue 16:30–Thu 06:30"
    sure = Span(out, out, out)
    assert wording.out(sure, scene.NOW, UTC) == "out tomorrow 06:30"


@pytest.mark.parametrize(
    ("low", "high", "display", "expected"),
    [
        (6.0, 10.0, METRIC, "6–10 °C"),
        (6.5, 10.0, METRIC, "6.5–10 °C"),
        (6.0, 10.0, US, "42.8–50 °F"),
        (6.0, None, METRIC, "from 6 °C"),
        (None, 10.0, METRIC, "to 10 °C"),
        (None, None, METRIC, ""),
    ],
)
def test_a_range_is_short(
    low: float | None, high: float | None, display: Display, expected: str
) -> None:
    limits = Range(
        None if low is None else Edge(low, "x"), None if high is None else Edge(high, "x")
    )
    assert wording.range_words(Quantity.TEMPERATURE, limits, display) == expected


def test_a_range_names_whose_it_is_once() -> None:
    assert wording.whose(Range(Edge(1, "tomme, cave"), Edge(2, "tomme, cave"))) == "tomme, cave"
    assert wording.whose(Range(Edge(1, "a"), Edge(2, "b"))) == "a / b"


@pytest.mark.parametrize(
    ("quantity", "display", "words"),
    [
        (Quantity.TEMPERATURE, METRIC, "16 °C, b of at most 13 °C; nearest to both is 14.5 °C"),
        (Quantity.TEMPERATURE, US, "60.8 °F, b of at most 55.4 °F; nearest to both is 58.1 °F"),
        (Quantity.TEMPERATURE, US, "which misses each by 2.7 °F"),
        (Quantity.HUMIDITY, US, "which misses each by 1.5 %"),
    ],
)
def test_a_clash_is_told_in_the_makers_units(
    quantity: Quantity, display: Display, words: str
) -> None:
    assert words in wording.clash(quantity, Range(Edge(16, "a"), Edge(13, "b")), display)


def test_a_signal_that_is_not_good_shows_its_letter() -> None:
    channel = Channel("cave", Quantity.HUMIDITY)
    uncertain = Reading(channel, 0.0, 100.0, SignalStatus.OUT_OF_SPECIFICATION)
    assert wording.reading_words(channel, uncertain, METRIC) == "100 % S"
    assert wording.reading_words(channel, Reading(channel, 0.0, None), METRIC) == "–"
    assert wording.reading_words(channel, None, METRIC) == "–"


def test_every_kind_of_entry_has_words(scene: SimpleNamespace) -> None:
    acts: list[journal.Act] = [
        scene.made(14, 15, 16),
        journal.Turned((14,)),
        journal.Washed((14,), journal.Wash.RUB),
        journal.Salted((14, 15), 9.0),
        journal.Lifted((14,), "cave"),
        journal.Moved((14,), "cave"),
        journal.Ended((14, 15), journal.Ending.SOLD),
        journal.Assayed((14,), 1.85, 0.1),
        journal.Weighed((14, 15), 2310.0),
        journal.BrineMeasured("tub", 20.1),
        journal.Tended("tub", journal.BrineWork.RESTORED, salt=650.0, drawn_off=2000.0),
        journal.Noted("soft rind", (14,)),
        journal.Assayed((14,), 1.9, 0.1),
        journal.Weighed((14, 15), 2310.0),
        journal.Acknowledged("cave.humidity low"),
        journal.Shelved("cave.humidity low", 600.0),
        journal.Unshelved("cave.humidity low"),
        journal.OutOfService("cave.humidity low", "probe away"),
        journal.BackInService("cave.humidity low"),
        journal.Reset("cave.humidity low"),
        journal.Suppressed("cave", 600.0, "cleaning"),
        journal.SensorChecked(
            "cave.humidity", journal.Against.TABLE_SALT, 74.0, 1.7, 0.5, True, 12.0
        ),
        journal.Testing("cave.humidity", 600.0),
        journal.Voided(7),
        journal.Milk(journal.Treatment.RAW, (14, 15), source="own herd", litres=100.0),
        journal.Milk(journal.Treatment.HEATED, lot="Tue", heat="63 degC, 2 min"),
        journal.Acidity(6.5, journal.Sample.MILK, lot="Tue"),
        journal.Corrected("cave.humidity low", "brushed", "door shut"),
    ]
    assert {type(act) for act in acts} == set(journal.KINDS.values())
    assert [wording.act_words(act, METRIC) for act in acts] == [
        "new wheels 14–16 in brine tub",
        "turned wheel 14",
        "rubbed wheel 14",
        "put 9.0 g of salt each on wheels 14, 15",
        "lifted wheel 14 to cave",
        "moved wheel 14 to cave",
        "sold wheels 14, 15",
        "wheel 14 assayed: 1.85 ± 0.10 % salt",
        "wheels 14, 15 weighed: 2.3 kg each",
        "brine of tub measured: 20.1 %",
        "brine of tub restored: 2.0 kg drawn off, 650 g of salt",
        "note about wheel 14: soft rind",
        "wheel 14 assayed: 1.90 ± 0.10 % salt",
        "wheels 14, 15 weighed: 2.3 kg each",
        "acknowledged cave.humidity low",
        "shelved cave.humidity low",
        "unshelved cave.humidity low",
        "out of service cave.humidity low",
        "back in service cave.humidity low",
        "reset cave.humidity low",
        "suppressed alarms of cave",
        "checked the sensor of cave.humidity: over table salt it reads 1.7 % low, corrected",
        "tested the sensor of cave.humidity",
        "voided entry 7",
        "make of wheels 14, 15: raw milk, 100 L, own herd",
        "make of lot Tue: heat-treated milk, 63 degC, 2 min",
        "make of lot Tue: pH 6.50 of the milk",
        "corrective action for cave.humidity low: product: brushed; cause: door shut",
    ]


def test_a_range_is_told_with_its_unit_once_if_it_is_the_same() -> None:
    assert wording.ranged(Span(1.4, 1.6, 1.9), METRIC.salt) == "1.6 % (1.4 to 1.9 %)"
    assert wording.ranged(Span(1.6, 1.6, 1.6), METRIC.salt) == "1.6 %"
    weights = Span(990.0, 1004.0, 1012.0)
    assert wording.ranged(weights, METRIC.to_weigh) == "1.00 kg (990 g to 1.01 kg)"


def test_a_shift_is_told_in_hours_and_minutes() -> None:
    assert wording.moved(6000.0) == "1 h 40 later"
    assert wording.moved(-1500.0) == "25 min sooner"


def test_a_test_of_brine_says_all_that_was_found() -> None:
    found = journal.BrineMeasured("tub", None, 5.24, 0.1, 12.5, journal.Clarity.CLOUDY, 60.0)
    assert wording.act_words(found, METRIC) == (
        "brine of tub measured: pH 5.2, 0.1 % calcium chloride, 12.5 °C, cloudy, 60 L"
    )
    cleaned = journal.Tended("tub", journal.BrineWork.CLEANED)
    assert wording.act_words(cleaned, METRIC) == "tub cleaned"
