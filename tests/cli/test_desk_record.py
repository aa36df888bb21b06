"""What a desk tells of the record: the make sheet, and the days that raw milk asks for."""

from collections.abc import Iterator
from contextlib import closing
from threading import Thread
from zoneinfo import ZoneInfo

import pytest

from cavewatch.cli import wheel_facts
from cavewatch.cli.desk import StoreDesk
from cavewatch.core.journal import Corrected, Ended, Ending, Made, Milk, Noted, Treatment
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.record import RecordError
from cavewatch.core.style import Method
from cavewatch.store import Store
from cavewatch.styles import load
from cavewatch.units import Display

HOUR, DAY = 3600.0, 86_400.0
NOW = 1_772_000_000.0 // DAY * DAY
AIR = Channel("upper cave", Quantity.TEMPERATURE)


class Dairy:
    """A desk at a time that can be set, with a wheel of raw milk that is ten days old."""

    def __init__(self, store: Store) -> None:
        self.at, self.store = NOW, store
        self.desk = StoreDesk(
            store,
            lambda: self.at,
            title="invented",
            zone=ZoneInfo("UTC"),
            display=Display(),
            initials="MK",
            styles=load(),
            places=[Place("upper cave", PlaceKind.CAVE, {})],
            channels={AIR: 2 * HOUR},
            notice=lambda: "",
        )
        style = next(each.id for each in load().values() if not each.ages)
        born = NOW - 10 * DAY
        made = Made((1,), style, Method.DRY, 2300.0, "upper cave", salting_done=True)
        self.desk.append(made, born, "MK")
        self.desk.append(Milk(Treatment.RAW, (1,)), born, "MK")
        # Every hour of ten days but one day without a reading, and one that was too cold.
        store.add_readings(
            Reading(AIR, born + n * HOUR, 0.5 if n // 24 == 2 else 12.0)
            for n in range(240)
            if n // 24 != 5
        )


@pytest.fixture
def dairy() -> Iterator[Dairy]:
    with closing(Store.in_memory()) as store:
        yield Dairy(store)


def test_days_of_raw_milk_count_what_is_known_to_have_been_warm(dairy: Dairy) -> None:
    raw = dairy.desk.raw_milk(1)()
    assert raw is not None
    assert raw.rule.days == 60
    counted = raw.counted
    assert (counted.days, counted.cold, counted.unknown) == pytest.approx((8, 1, 1))
    dairy.desk.append(Ended((1,), Ending.SOLD), NOW - DAY, "MK")
    raw = dairy.desk.raw_milk(1)()
    assert raw is not None
    assert (raw.counted.days, raw.left_at) == (pytest.approx(7), NOW - DAY)


def test_pasteurised_milk_and_a_wheel_that_never_was_ask_for_no_days(dairy: Dairy) -> None:
    assert dairy.desk.raw_milk(9)() is None
    dairy.desk.append(Made((2,), next(iter(load())), Method.DRY, 2300.0, "upper cave"), NOW, "MK")
    assert dairy.desk.raw_milk(2)() is None
    dairy.desk.append(Milk(Treatment.PASTEURISED, (2,)), NOW, "MK")
    assert dairy.desk.raw_milk(2)() is None


def test_days_are_counted_anew_only_when_an_entry_or_an_hour_came(
    dairy: Dairy, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[float] = []
    real = wheel_facts.raw_of
    monkeypatch.setattr(
        wheel_facts,
        "raw_of",
        lambda store, wheel, entries, at: asked.append(at) or real(store, wheel, entries, at),
    )
    for _ in range(3):
        dairy.at += 60
        dairy.desk.raw_milk(1)()
    assert len(asked) == 1
    dairy.desk.append(Noted("quiet"), dairy.at, "MK")
    dairy.desk.raw_milk(1)()
    dairy.at += HOUR
    dairy.desk.raw_milk(1)()
    assert len(asked) == 3


def test_the_make_sheet_is_drawn_up_in_a_thread(dairy: Dairy) -> None:
    dairy.desk.append(Corrected("upper cave.humidity low", "nothing"), NOW, "MK")
    work, found = dairy.desk.make_sheet(1), []
    thread = Thread(target=lambda: found.append(work()))
    thread.start()
    thread.join()
    (sheet,) = found
    assert [wheel.id for wheel in sheet.wheels] == [1]
    assert sheet.treatment is Treatment.RAW
    assert sheet.raw[0].counted.days == pytest.approx(8)
    assert [(m.gap.since, m.gap.until) for m in sheet.missing] == [
        (NOW - 5 * DAY - HOUR + 60, NOW - 4 * DAY)
    ]


def test_a_wheel_that_is_on_no_record_has_no_sheet(dairy: Dairy) -> None:
    with pytest.raises(RecordError, match="no wheel 9 on record"):
        dairy.desk.make_sheet(9)()
