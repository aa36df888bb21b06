"""Longer bins, made of hours, minutes or readings."""

import random

import pytest

from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.store import Store

CAVE = Channel("lower cave", Quantity.TEMPERATURE)
TUB = Channel("tub", Quantity.TEMPERATURE)
BEGIN = 480_000 * 3600.0


@pytest.fixture
def filled(store: Store) -> list[Reading]:
    """Two days of readings every 97 s, some without a value, some while the sensor was tested."""
    values = random.Random(7)
    readings = [
        Reading(
            CAVE,
            BEGIN + second,
            None if values.random() < 0.05 else round(values.uniform(5, 15), 2),
            SignalStatus.CHECK if values.random() < 0.05 else SignalStatus.GOOD,
        )
        for second in range(0, 2 * 86400, 97)
    ]
    store.add_readings(readings)
    store.add_readings([Reading(TUB, r.at, 30.0) for r in readings])
    return readings


@pytest.mark.parametrize("length", [30.0, 90.0, 120.0, 5400.0, 7200.0, 86400.0])
def test_bins_equal_a_recount_of_the_readings(
    store: Store, filled: list[Reading], length: float
) -> None:
    since, until = BEGIN + 7200.0, BEGIN + 2 * 86400 - 7200.0
    counted: dict[float, list[float]] = {}
    for reading in filled:
        if (
            since <= reading.at < until
            and reading.value is not None
            and reading.status is not SignalStatus.CHECK
        ):
            counted.setdefault(reading.at // length, []).append(reading.value)
    found = store.gathered(CAVE, length, since, until)
    assert [each.at // length for each in found] == sorted(counted)
    for each in found:
        values = counted[each.at // length]
        assert each.n == len(values)
        assert (each.low, each.high) == (min(values), max(values))
        assert each.mean == pytest.approx(sum(values) / len(values))


def test_a_channel_without_readings_has_no_bins(store: Store, filled: list[Reading]) -> None:
    assert filled
    nobody = Channel("nowhere", Quantity.HUMIDITY)
    assert store.gathered(nobody, 3600.0, 0.0, 4e9) == []
    assert store.gathered(CAVE, 3600.0, 0.0, BEGIN) == []
