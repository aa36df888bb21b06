"""Checks and tests folded from the journal, and the correction that follows from them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core import journal
from cavewatch.core.journal import Act, Against, Entry, SensorChecked, Voided
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.signal.record import UNKNOWN, SensorRecord, records
from cavewatch.core.signal.told import told

DAMP = Channel("cave", Quantity.HUMIDITY)
DAY = 86_400.0


def point(against: Against, shown: float, offset: float, fit: bool = True) -> SensorChecked:
    return SensorChecked(str(DAMP), against, shown, offset, 0.5, fit)


LOW = point(Against.TABLE_SALT, 74.0, 1.5)
HIGH = point(Against.POTASSIUM_CHLORIDE, 84.0, 2.5)


def after(*acts: tuple[float, Act]) -> SensorRecord:
    entries = [Entry(n, at, at, "TT", act) for n, (at, act) in enumerate(acts, start=1)]
    return records(entries).get(DAMP, UNKNOWN)


def words(value: float) -> str:
    return f"{value:.1f} %"


def test_an_offset_counts_from_its_check_on_and_not_before() -> None:
    record = after((100.0, LOW))
    assert record.offset(90.0, 99.0) == 0.0
    assert record.offset(90.0, 100.0) == 1.5


def test_a_newer_check_takes_the_place_of_the_older_one() -> None:
    record = after((0.0, LOW), (DAY, point(Against.TABLE_SALT, 75.0, 0.5)))
    assert record.offset(90.0, DAY - 1.0) == 1.5
    assert record.offset(90.0, DAY) == 0.5


@pytest.mark.parametrize(
    ("value", "offset"), [(50.0, 1.5), (74.0, 1.5), (79.0, 2.0), (84.0, 2.5), (97.0, 2.5)]
)
def test_two_points_make_a_line_between_them_and_none_beyond(value: float, offset: float) -> None:
    record = after((0.0, LOW), (3600.0, HIGH))
    assert record.offset(value, 3600.0) == pytest.approx(offset)


def test_points_far_apart_in_time_are_not_put_together() -> None:
    record = after((0.0, LOW), (30 * DAY, HIGH))
    assert record.offset(74.0, 30 * DAY) == 2.5


def test_an_unfit_sensor_is_not_corrected() -> None:
    record = after((0.0, point(Against.TABLE_SALT, 66.0, 9.5, fit=False)))
    assert record.unfit_at(1.0)
    assert record.offset(90.0, 1.0) == 0.0


def test_a_voided_check_never_was() -> None:
    assert after((0.0, LOW), (1.0, Voided(1))) == UNKNOWN


def test_a_channel_that_cannot_exist_is_passed_over() -> None:
    assert after((0.0, journal.Testing("nonsense", 10.0))) == UNKNOWN


@given(st.floats(0.0, 100.0), st.floats(-6.0, 6.0), st.floats(-6.0, 6.0))
def test_a_corrected_humidity_is_one(value: float, low: float, high: float) -> None:
    record = after(
        (0.0, point(Against.TABLE_SALT, 75.0, low)),
        (1.0, point(Against.POTASSIUM_CHLORIDE, 86.0, high)),
    )
    found = record.corrected(Reading(DAMP, 2.0, value)).value
    assert found is not None
    assert 0.0 <= found <= 100.0
    assert min(low, high) - 1e-9 <= record.offset(value, 2.0) <= max(low, high) + 1e-9


def test_a_reading_without_a_value_stays_so() -> None:
    silent = Reading(DAMP, 2.0, None)
    assert after((0.0, LOW)).corrected(silent) == silent


def test_a_test_ends_by_itself_or_by_a_later_entry() -> None:
    record = after(
        (0.0, journal.Testing(str(DAMP), 600.0)), (1000.0, journal.Testing(str(DAMP), 4600.0))
    )
    assert [record.tested_at(at) for at in (-1.0, 0.0, 599.0, 600.0, 1000.0, 4599.0)] == [
        False, True, True, False, True, True,
    ]  # fmt: skip
    ended = after(
        (0.0, journal.Testing(str(DAMP), 600.0)), (60.0, journal.Testing(str(DAMP), 60.0))
    )
    assert [ended.tested_at(at) for at in (59.0, 60.0, 599.0)] == [True, False, False]


@pytest.mark.parametrize(
    ("record", "said"),
    [
        (UNKNOWN, "never checked"),
        (after((0.0, LOW)), "checked 12 days ago: over table salt it reads 1.5 % low, corrected"),
        (
            after((11.5 * DAY, point(Against.TABLE_SALT, 75.5, 0.1))),
            "checked less than a day ago: over table salt it reads true within 0.5 %",
        ),
        (
            after((11 * DAY, point(Against.TABLE_SALT, 84.0, -8.5, fit=False))),
            "checked 1 day ago: over table salt it reads 8.5 % high, unfit: replace it",
        ),
        (
            after((0.0, LOW), (1.0, HIGH)),
            "checked 11 days ago: over table salt it reads 1.5 % low, corrected; "
            "over potassium chloride it reads 2.5 % low, corrected",
        ),
    ],
)
def test_the_record_in_words(record: SensorRecord, said: str) -> None:
    assert told(record, 12 * DAY, words) == said
