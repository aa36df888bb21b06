"""Readings and their roll-ups."""

import itertools
import math
from collections.abc import Sequence
from contextlib import closing

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.store import Store, StoreError

CAVE = Channel("lower cave", Quantity.TEMPERATURE)
DAMP = Channel("lower cave", Quantity.HUMIDITY)
TUB = Channel("tub", Quantity.TEMPERATURE)
CHANNELS = (CAVE, DAMP, TUB)

readings = st.builds(
    Reading,
    channel=st.sampled_from(CHANNELS),
    # Few seconds around few hours, so that readings collide and share bins.
    at=st.builds(
        lambda hour, second: 3600.0 * hour + second,
        st.integers(480_000, 480_002),
        st.floats(0, 200) | st.integers(0, 3599),
    ),
    value=st.none() | st.floats(-40, 100),
    status=st.sampled_from(SignalStatus),
)


def batches(items: Sequence[Reading], cuts: Sequence[int]) -> list[Sequence[Reading]]:
    edges = sorted({0, len(items), *(cut % (len(items) + 1) for cut in cuts)})
    return [items[a:b] for a, b in itertools.pairwise(edges)]


@settings(deadline=None)
@given(st.lists(readings, max_size=60), st.lists(st.integers(0, 60), max_size=5))
def test_roll_ups_equal_a_recount_of_the_readings_in_any_order_and_batching(
    arrived: list[Reading], cuts: list[int]
) -> None:
    first: dict[tuple[Channel, int], Reading] = {}
    for reading in arrived:
        first.setdefault((reading.channel, math.floor(reading.at)), reading)

    with closing(Store.in_memory()) as store:
        kept = sum(store.add_readings(batch) for batch in batches(arrived, cuts))

        assert kept == len(first)
        for channel in CHANNELS:
            raw = [
                (ts, r.value)
                for (c, ts), r in sorted(first.items())
                if c == channel and r.status is not SignalStatus.CHECK
            ]
            for width in (60, 3600):
                counted: dict[int, list[int]] = {}
                for ts, value in raw:
                    if value is not None:
                        counted.setdefault(ts // width * width, []).append(round(value * 100))
                assert store.bins(channel, width, 0, math.inf) == [
                    (at, len(v), sum(v) / 100 / len(v), min(v) / 100, max(v) / 100)
                    for at, v in counted.items()
                ]


@settings(deadline=None)
@given(st.lists(readings, max_size=40), st.lists(st.integers(0, 40), max_size=5))
def test_readings_come_back_to_the_second_and_the_hundredth(
    arrived: list[Reading], cuts: list[int]
) -> None:
    first: dict[tuple[Channel, int], Reading] = {}
    for reading in arrived:
        first.setdefault((reading.channel, math.floor(reading.at)), reading)

    with closing(Store.in_memory()) as store:
        for batch in batches(arrived, cuts):
            store.add_readings(batch)

        for channel in CHANNELS:
            expected = [r for (c, _), r in sorted(first.items()) if c == channel]
            found = store.readings(channel, 0, math.inf)
            assert [r.at for r in found] == [math.floor(r.at) for r in expected]
            assert [r.status for r in found] == [r.status for r in expected]
            for there, put in zip(found, expected, strict=True):
                assert (there.value is None) == (put.value is None)
                if there.value is not None and put.value is not None:
                    assert abs(there.value - put.value) <= 0.005 + 1e-9
            newest = store.latest().get(channel)
            assert newest == (found[-1] if found else None)


def test_of_readings_that_share_second_and_channel_the_first_stays(store: Store) -> None:
    assert store.add_readings([Reading(CAVE, 100.2, 12.0), Reading(CAVE, 100.9, 13.0)]) == 1
    assert store.add_readings([Reading(CAVE, 100.0, 14.0), Reading(DAMP, 100.0, 90.0)]) == 1

    assert store.readings(CAVE, 0, 1000) == [Reading(CAVE, 100.0, 12.0)]
    assert [b.mean for b in store.bins(CAVE, 60, 0, 1000)] == [12.0]


def test_readings_without_a_value_are_stored_but_not_rolled_up(store: Store) -> None:
    lost = Reading(CAVE, 61.0, None, SignalStatus.FAILURE)
    store.add_readings([lost, Reading(CAVE, 125.0, 11.5)])
    store.add_readings([Reading(CAVE, 130.0, None, SignalStatus.FAILURE)])

    assert store.readings(CAVE, 0, 100) == [lost]
    assert [(b.at, b.n) for b in store.bins(CAVE, 60, 0, 1000)] == [(120.0, 1)]
    assert store.latest()[CAVE] == Reading(CAVE, 130.0, None, SignalStatus.FAILURE)


def test_what_a_sensor_said_while_it_was_tested_is_stored_but_not_rolled_up(store: Store) -> None:
    jar = [Reading(DAMP, at, 75.0, SignalStatus.CHECK) for at in (30.0, 70.0)]
    store.add_readings([Reading(DAMP, 0.0, 90.0), *jar])

    assert store.readings(DAMP, 10, 100) == jar
    for width in (60, 3600):
        assert [(b.at, b.n, b.low) for b in store.bins(DAMP, width, 0, 1000)] == [(0.0, 1, 90.0)]


def test_times_asked_for_begin_with_since_and_end_before_until(store: Store) -> None:
    store.add_readings(Reading(CAVE, at, 10.0) for at in (59, 60, 119, 120, 180))

    assert [r.at for r in store.readings(CAVE, 60, 120)] == [60.0, 119.0]
    assert [b.at for b in store.bins(CAVE, 60, 60, 120)] == [60.0]
    assert [b.at for b in store.bins(CAVE, 60, 60.5, 120.5)] == [60.0, 120.0]
    assert [b.at for b in store.bins(CAVE, 3600, 100, 200)] == [0.0]


def test_a_channel_that_never_reported_has_nothing(store: Store) -> None:
    assert store.add_readings([]) == 0
    assert store.latest() == {}
    assert store.readings(TUB, 0, math.inf) == []
    assert store.bins(TUB, 60, 0, math.inf) == []


def test_a_late_reading_is_not_the_newest(store: Store) -> None:
    store.add_readings([Reading(CAVE, 500, 12.0)])
    store.add_readings([Reading(CAVE, 400, 11.0)])

    assert store.latest()[CAVE].at == 500.0


@pytest.mark.parametrize(
    "reading",
    [Reading(CAVE, 1.0, math.nan), Reading(CAVE, math.inf, 1.0), Reading(CAVE, 1.0, 1e300)],
)
def test_a_reading_that_is_no_number_is_refused_and_nothing_of_its_batch_is_kept(
    store: Store, reading: Reading
) -> None:
    with pytest.raises(StoreError):
        store.add_readings([Reading(TUB, 1.0, 12.0), reading])

    assert store.latest() == {}
    assert store.readings(TUB, 0, 10) == []


def test_the_newest_readings_cost_the_same_however_many_there_are(store: Store) -> None:
    def cost() -> int:
        steps = [0]

        def count() -> int:
            steps[0] += 1
            return 0

        store._connection.set_progress_handler(count, 1)
        store.latest()
        store._connection.set_progress_handler(None, 1)
        return steps[0]

    store.add_readings([Reading(TUB, 1.0, 12.0)])  # a probe that was soon taken away
    store.add_readings(Reading(CAVE, at, 12.0) for at in range(2, 10))
    few = cost()
    store.add_readings(Reading(CAVE, at, 12.0) for at in range(10, 20_000))

    assert cost() == few


def test_a_status_that_nobody_knows_is_told_with_file_and_reading(store: Store) -> None:
    store.add_readings([Reading(CAVE, 100.0, 12.0)])
    store._connection.execute("UPDATE reading SET st = 'Q'")

    with pytest.raises(StoreError, match=r"dairy.sqlite: .*lower cave.temperature at 100.*'Q'"):
        store.latest()


def test_a_quantity_that_nobody_knows_is_told_with_file_and_row(store: Store) -> None:
    store.add_readings([Reading(CAVE, 100.0, 12.0)])
    store._connection.execute("UPDATE channel SET quantity = 'taste'")

    with pytest.raises(StoreError, match=r"dairy.sqlite: 'taste' at 'lower cave'.*temperature"):
        store.latest()
