"""What the store cannot take waits in memory, and goes in by itself."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cavewatch.clock import SetBy, Stamp
from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.countdown import Action, Countdown, Span, Step
from cavewatch.core.journal import Noted
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.recorder.holding import Holding
from cavewatch.store import DamagedStoreError, Store, StoreFullError, UnwritableStoreError

CAVE = Channel("lower cave", Quantity.TEMPERATURE)
NOW = 1_760_000_000.0


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "dairy.sqlite"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    store = Store.open(path)
    yield store
    store.close()


def fill_up(store: Store) -> None:
    """Let the file not grow by a page, as on a full disk."""
    [(pages,)] = store._rows("PRAGMA page_count")
    [(free,)] = store._rows("PRAGMA freelist_count")
    assert free == 0
    store._rows(f"PRAGMA max_page_count = {pages}")


def make_room(store: Store) -> None:
    store._rows("PRAGMA max_page_count = 1073741823")


def readings(first: int, count: int) -> list[Reading]:
    return [Reading(CAVE, NOW + number, 12.0) for number in range(first, first + count)]


def transition(at: float, key: str = "a", state: State = State.UNACK) -> Transition:
    told = Explanation("too dry", "door", "cracks " * 40, "shut it", 4.0)
    return Transition(
        at, State.NORM, Trigger.ABNORMAL, Alarm(key, state, Priority.LOW, at, told, at)
    )


def countdown(wheel: int, lift: float = 200.0) -> Countdown:
    salt = Span(1.0, 1.5, 2.0)
    steps = (Step(Action.LIFT, Span(lift, lift, lift)),)
    return Countdown(wheel, 1, 50.0, 40.0, salt, salt, steps, "18 % brine " * 40)


def test_what_a_full_store_does_not_take_waits_and_goes_in_by_itself(store: Store) -> None:
    holding = Holding(store)
    fill_up(store)

    holding.add_readings(readings(0, 500))
    holding.add_transitions([transition(NOW + number, str(number)) for number in range(20)])
    holding.put_countdowns([countdown(1)])
    holding.put_countdowns([countdown(2), countdown(3)])
    holding.put_doubts(["doubt " * 400])
    holding.put_meta("sensor", "unplugged " * 200)
    holding.settle()

    assert isinstance(holding.trouble, StoreFullError)
    assert "the disk is full" in str(holding.trouble)
    assert (holding.waiting, holding.lost) == (500, 0)
    assert store.latest() == {}
    # Who begins anew from it is told what waits as if it were written.
    assert holding.latest()[CAVE].at == NOW + 499
    assert set(holding.alarms()) == {str(number) for number in range(20)}
    assert [c.wheel for c in holding.countdowns()] == [2, 3]
    assert holding.meta("sensor") == "unplugged " * 200
    assert len(holding.readings(CAVE, NOW, NOW + 100)) == 100

    make_room(store)
    holding.settle()

    assert holding.trouble is None
    assert holding.waiting == 0
    assert store.readings(CAVE, NOW, NOW + 1000) == readings(0, 500)
    assert store.transitions(0) == [transition(NOW + number, str(number)) for number in range(20)]
    assert store.countdowns() == [countdown(2), countdown(3)]
    assert store.doubts() == ["doubt " * 333 + "do"]
    assert store.meta("sensor") == "unplugged " * 200


def test_an_entry_that_cannot_be_kept_is_refused_in_one_sentence(store: Store) -> None:
    fill_up(store)

    def write_on() -> None:
        for number in range(1000):
            store.append(1.0, 1.0, "MK", Noted(f"{number} " * 100))

    with pytest.raises(StoreFullError, match=r"^.*dairy.sqlite: the disk is full; make room"):
        write_on()

    make_room(store)
    kept = len(store.entries())
    assert store.append(1.0, 1.0, "MK", Noted("x")).id == kept + 1


def test_a_failed_write_is_tried_again_at_a_settle_and_not_before(store: Store, path: Path) -> None:
    holding = Holding(store)
    store._rows("PRAGMA busy_timeout = 1")
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        holding.add_readings(readings(0, 1))
        assert isinstance(holding.trouble, UnwritableStoreError)
        assert not isinstance(holding.trouble, StoreFullError)
    holding.add_readings(readings(1, 1))
    assert store.latest() == {}

    holding.settle()

    assert len(store.readings(CAVE, NOW, NOW + 10)) == 2


def test_the_oldest_readings_go_when_too_many_wait_and_are_counted(store: Store) -> None:
    holding = Holding(store, most=100)
    fill_up(store)
    for first in range(0, 300, 50):
        holding.add_readings(readings(first, 50))
    assert holding.waiting == 100
    assert holding.lost >= 150  # some fitted on the last page

    make_room(store)
    holding.settle()

    kept = store.readings(CAVE, NOW, NOW + 1000)
    assert kept[-100:] == readings(200, 100)
    assert holding.lost + len(kept) == 300


def test_what_a_damaged_store_was_to_be_given_waits_for_the_next_one(tmp_path: Path) -> None:
    class Torn(Store):
        torn = True

        def add_transitions(self, transitions: object) -> None:
            if self.torn:
                raise DamagedStoreError("torn")
            super().add_transitions(transitions)  # type: ignore[arg-type]

    with closing(Torn.open(tmp_path / "x.sqlite")) as store:
        holding = Holding(store)
        with pytest.raises(DamagedStoreError):
            holding.add_transitions([transition(NOW)])
        store.torn = False

        holding.settle()

        assert store.transitions(0) == [transition(NOW)]


def test_each_is_written_under_the_clock_that_it_came_with(store: Store) -> None:
    unsure, sure = Stamp(NOW, "boot", 100.0, None), Stamp(NOW + 900, "boot", 200.0, SetBy.NETWORK)
    holding = Holding(store)
    fill_up(store)
    store.stamp = unsure
    holding.add_readings(readings(0, 500))
    holding.add_transitions([transition(NOW, "a"), transition(NOW, "b")])
    store.stamp = sure
    holding.add_readings(readings(1000, 500))
    holding.add_transitions([transition(NOW + 1000, "c")])

    make_room(store)
    holding.settle()

    assert store.stamp is sure
    assert store._rows("SELECT key, up, unsure FROM alarm ORDER BY id") == [
        ("a", 100.0, 1),
        ("b", 100.0, 1),
        ("c", 300.0, 0),
    ]
    assert store._rows("SELECT count(*) FROM unplaced") == [(500,)]
    assert len(store.readings(CAVE, NOW, NOW + 2000)) == 1000


writes = st.sampled_from(["readings", "alarm", "countdowns", "meta", "full", "room", "settle"])


@settings(deadline=None, max_examples=40)
@given(st.lists(writes, max_size=25))
def test_whenever_there_is_room_nothing_is_missing(happened: list[str]) -> None:
    with closing(Store.in_memory()) as store:
        holding = Holding(store)
        given_readings, given_transitions, countdowns, meta = 0, 0, [], None
        for number, what in enumerate(happened):
            if what == "readings":
                holding.add_readings(readings(given_readings, 40))
                given_readings += 40
            elif what == "alarm":
                holding.add_transitions([transition(NOW + number, str(number))])
                given_transitions += 1
            elif what == "countdowns":
                countdowns = [countdown(1, float(number))]
                holding.put_countdowns(countdowns)
            elif what == "meta":
                meta = str(number) * 300
                holding.put_meta("key", meta)
            elif what == "full":
                [(pages,)] = store._rows("PRAGMA page_count")
                store._rows(f"PRAGMA max_page_count = {pages}")
            elif what == "room":
                make_room(store)
            else:
                holding.settle()
            assert len(holding.readings(CAVE, NOW, NOW + 1e6)) == given_readings
            assert len(holding.alarms()) == given_transitions
            assert holding.countdowns() == countdowns
            assert holding.meta("key") == meta

        make_room(store)
        holding.settle()

        assert len(store.readings(CAVE, NOW, NOW + 1e6)) == given_readings
        assert len(store.transitions(0)) == given_transitions
        assert store.countdowns() == countdowns
        assert store.meta("key") == meta
