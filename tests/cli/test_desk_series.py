"""A channel's past through the desk: corrected by the checks of its sensor."""

from collections.abc import Iterator
from contextlib import closing
from zoneinfo import ZoneInfo

import pytest

from cavewatch.cli.desk import StoreDesk
from cavewatch.core.journal import Against, SensorChecked
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.series import Bins
from cavewatch.store import Store
from cavewatch.units import Display

WARM = Channel("cave", Quantity.TEMPERATURE)
DAMP = Channel("cave", Quantity.HUMIDITY)
BEGIN = 480_000 * 3600.0
END = BEGIN + 86400.0


@pytest.fixture
def store() -> Iterator[Store]:
    with closing(Store.in_memory()) as store:
        store.add_readings(
            Reading(channel, BEGIN + second, value)
            for channel, value in ((WARM, 12.0), (DAMP, 98.0))
            for second in range(0, 86400, 600)
        )
        yield store


def desk(store: Store) -> StoreDesk:
    found = StoreDesk(
        store,
        lambda: END,
        title="",
        zone=ZoneInfo("UTC"),
        display=Display(),
        initials="MK",
        styles={},
        places=[Place("cave", PlaceKind.CAVE, {})],
        channels={WARM: 60.0, DAMP: 60.0},
        notice=str,
    )
    found.picture()
    return found


def checked(channel: Channel, offset: float, fit: bool = True) -> SensorChecked:
    return SensorChecked(str(channel), Against.ICE, 0.0, offset, 0.1, fit)


@pytest.mark.parametrize("length", [600.0, 1800.0, 7200.0])
def test_a_series_has_every_bin(store: Store, length: float) -> None:
    series = desk(store).series(WARM, Bins(BEGIN, length, round(86400 / length)))
    assert set(series.mean) == {12.0}
    assert series.low == series.high == series.mean


def test_bins_before_the_first_reading_are_empty(store: Store) -> None:
    series = desk(store).series(WARM, Bins(BEGIN - 86400.0, 3600.0, 48))
    assert series.mean == (None,) * 24 + (12.0,) * 24


def test_a_check_corrects_what_follows_it(store: Store) -> None:
    store.append(BEGIN + 43200.0, END, "MK", checked(WARM, 0.5))
    series = desk(store).series(WARM, Bins(BEGIN, 7200.0, 12))
    assert series.mean == (12.0,) * 6 + (12.5,) * 6
    assert series.high == series.mean


def test_a_bin_in_which_a_check_came_is_corrected_in_part(store: Store) -> None:
    store.append(BEGIN + 3600.0, END, "MK", checked(WARM, 0.6))
    series = desk(store).series(WARM, Bins(BEGIN, 7200.0, 12))
    assert (series.low[0], series.high[0]) == (12.0, 12.6)
    assert series.mean[0] == pytest.approx(12.3)


def test_humidity_stays_within_its_bounds_and_an_unfit_sensor_is_not_corrected(
    store: Store,
) -> None:
    store.append(BEGIN, END, "MK", checked(DAMP, 5.0))
    assert set(desk(store).series(DAMP, Bins(BEGIN, 7200.0, 12)).mean) == {100.0}
    store.append(BEGIN, END, "MK", checked(DAMP, 5.0, fit=False))
    assert set(desk(store).series(DAMP, Bins(BEGIN, 7200.0, 12)).mean) == {98.0}


def test_the_journal_is_read_on_from_where_it_was_read(store: Store) -> None:
    found = desk(store)
    assert found.entries() == []
    entry = found.append(checked(WARM, 0.5), BEGIN, "MK")
    assert found.entries() == [entry]
    assert found.entries() == [entry]
