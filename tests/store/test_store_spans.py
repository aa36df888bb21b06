"""Which spans are on record, and transitions read piece by piece."""

import pytest

from cavewatch.clock import SetBy, Stamp
from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.store import Store, spans

CAVE = Channel("cave", Quantity.TEMPERATURE)


def happened(at: float, key: str = "k") -> Transition:
    alarm = Alarm(key, State.UNACK, Priority.LOW, at, Explanation("w", "c", "q", "a", 1.0))
    return Transition(at, State.NORM, Trigger.ABNORMAL, alarm)


@pytest.fixture
def store() -> Store:
    return Store.in_memory()


def test_an_empty_store_has_no_span(store: Store) -> None:
    assert (spans.recorded(store), spans.thinned_until(store)) == (None, None)
    assert list(spans.transitions(store)) == []
    store.close()


def test_the_span_is_from_the_oldest_to_the_newest(store: Store) -> None:
    store.add_readings(Reading(CAVE, at, 12.0) for at in (7265.0, 100_000.0))
    assert spans.recorded(store) == (7265.0, 100_000.0)
    assert spans.recorded(store, "minute") == (7260.0, 99_960.0)
    assert spans.recorded(store, "hour") == (7200.0, 97_200.0)
    store.thin(50_000.0, hours=24)
    assert spans.thinned_until(store) == 46_800.0
    assert spans.recorded(store) == (100_000.0, 100_000.0)
    store.close()


def test_transitions_come_by_time_as_when_read_at_once(store: Store) -> None:
    store.add_transitions(happened(float(at % 700), f"k{at}") for at in range(1, 1300))
    assert list(spans.transitions(store)) == store.transitions(0.0)
    store.close()


def test_what_was_noted_before_the_clock_was_set_comes_where_it_belongs(store: Store) -> None:
    store.add_transitions([happened(1000.0, "sure"), happened(3000.0, "later")])
    store.stamp = Stamp(50.0, "b", 50.0, None)
    store.add_transitions([happened(40.0, "unsure")])
    store.add_readings([Reading(CAVE, 45.0, 12.0)])
    assert spans.unsure(store, 0.0, 100.0) == 1
    store.place(Stamp(2050.0, "b", 60.0, SetBy.NETWORK))
    assert [each.alarm.key for each in spans.transitions(store)] == ["sure", "unsure", "later"]
    assert spans.unsure(store, 0.0, 10_000.0) == 0
    store.close()
