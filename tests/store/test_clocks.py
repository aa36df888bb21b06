"""Facts that were noted before the clock was set, and where they belong."""

import sqlite3
from collections import Counter
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cavewatch.clock import SetBy, Stamp
from cavewatch.core import journal
from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.journal import Act, Made, Noted, Shelved, Turned
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.core.style import Method
from cavewatch.store import Store

CAVE = Channel("lower cave", Quantity.TEMPERATURE)
TUB = Channel("brine tub", Quantity.TEMPERATURE)
NOON = 1_767_355_200.0
"""Of some day, as true time [s since 1970 UTC]."""
HOUR = 3600.0
TOLD = Explanation("too warm", "door open", "it ripens fast", "shut the door", 4.0)


class Machine:
    """A machine whose clock shows true time plus an error, until somebody sets it."""

    def __init__(self, store: Store, at: float = NOON, error: float = 0.0, boot: str = "a") -> None:
        self.store = store
        self.at, self.error, self.boot, self.booted = at, error, boot, at
        self.by: SetBy | None = SetBy.NETWORK if error == 0.0 else None
        self.tick()

    def stamp(self) -> Stamp:
        return Stamp(self.at + self.error, self.boot, self.at - self.booted, self.by)

    def tick(self, seconds: float = 0.0) -> None:
        self.at += seconds
        self.store.keep_time(self.stamp())

    def switched_on(self, boot: str, error: float) -> None:
        self.boot, self.booted, self.error, self.by = boot, self.at, error, None
        self.tick()

    def set(self, error: float = 0.0, by: SetBy | None = SetBy.NETWORK) -> None:
        self.error, self.by = error, by
        self.store.place(self.store.judged(self.stamp()))
        self.tick()

    def reads(self, value: float | None, status: SignalStatus = SignalStatus.GOOD) -> None:
        self.store.add_readings([Reading(CAVE, self.at + self.error, value, status)])

    def enters(self, act: Act, ago: float = 0.0) -> int:
        wall = self.at + self.error
        return self.store.append(wall - ago, wall, "MK", act).id

    def calls(self, state: State, since: float | None = None) -> None:
        wall = self.at + self.error
        alarm = Alarm("cave warm", state, Priority.LOW, wall if since is None else since, TOLD)
        alarm = replace(alarm, called=alarm.since)
        self.store.add_transitions([Transition(wall, State.NORM, Trigger.ABNORMAL, alarm)])


def kept(store: Store) -> list[tuple[float, float | None]]:
    return [(each.at, each.value) for each in store.readings(CAVE, 0.0, 1e11)]


def test_what_was_noted_before_the_clock_was_set_moves_to_where_it_belongs(store: Store) -> None:
    machine = Machine(store, error=-30 * HOUR)
    machine.reads(11.0)
    machine.tick(60.0)
    turned = machine.enters(Turned((7,)))
    earlier = machine.enters(Noted("seen"), ago=2 * HOUR)
    machine.tick(60.0)

    machine.set()

    assert kept(store) == [(NOON, 11.0)]
    assert [bin.at for bin in store.bins(CAVE, 60, 0.0, 1e11)] == [NOON]
    assert [bin.at for bin in store.bins(CAVE, 3600, 0.0, 1e11)] == [NOON]
    told = {entry.id: (entry.at, entry.written) for entry in store.entries()}
    assert told[turned] == pytest.approx((NOON + 60.0, NOON + 60.0), abs=1e-3)
    assert told[earlier] == pytest.approx((NOON + 60.0 - 2 * HOUR, NOON + 60.0), abs=1e-3)


def test_a_time_that_a_person_typed_stays(store: Store) -> None:
    machine = Machine(store, error=-30 * HOUR)
    store.append(NOON - HOUR, machine.stamp().wall, "MK", Turned((7,)), typed=True)
    typed = journal.Testing("lower cave.temperature", NOON - HOUR)
    store.append(NOON - HOUR, machine.stamp().wall, "MK", typed, typed=True)

    machine.set()

    turned, tested = store.entries()
    assert (turned.at, turned.written) == (NOON - HOUR, NOON)
    assert tested.act == typed


def test_the_end_of_what_began_before_the_clock_was_set_moves_with_it(store: Store) -> None:
    machine = Machine(store, error=-30 * HOUR)
    machine.enters(Shelved("cave warm", machine.stamp().wall + HOUR))
    machine.enters(Made((7,), "gouda", Method.BRINE, 4000.0, "tub", made_at=NOON - 9 * HOUR))

    machine.set()

    shelved, made = (entry.act for entry in store.entries())
    assert isinstance(shelved, Shelved)
    assert shelved.until == pytest.approx(NOON + HOUR, abs=1e-3)
    assert isinstance(made, Made)
    assert made.made_at == NOON - 9 * HOUR


def test_the_rows_themselves_are_never_changed(store: Store, path: Path) -> None:
    machine = Machine(store, error=-30 * HOUR)
    machine.enters(Turned((7,)))
    with closing(sqlite3.connect(path)) as other:
        before = other.execute("SELECT * FROM journal").fetchall()
        machine.set()
        assert other.execute("SELECT * FROM journal").fetchall() == before
        for sql in (
            "UPDATE placing SET offset = 0",
            "DELETE FROM placing",
            "REPLACE INTO placing SELECT * FROM placing",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="placing is append-only"):
                other.execute(sql)


def test_facts_of_a_sure_clock_never_move(store: Store) -> None:
    machine = Machine(store)
    machine.reads(11.0)
    machine.enters(Turned((7,)))
    machine.calls(State.UNACK)

    machine.set(error=500.0)

    assert kept(store) == [(NOON, 11.0)]
    assert [entry.at for entry in store.entries()] == [NOON]
    assert [each.at for each in store.transitions(0.0)] == [NOON]


def test_a_reading_whose_place_is_taken_is_kept_until_the_clock_is_set(store: Store) -> None:
    machine = Machine(store)
    machine.reads(11.0)
    machine.tick(2 * HOUR)
    machine.switched_on("b", error=-2 * HOUR)
    machine.reads(15.0)

    assert kept(store) == [(NOON, 11.0)]
    assert store.latest()[CAVE].value == 15.0

    machine.set()

    assert kept(store) == [(NOON, 11.0), (NOON + 2 * HOUR, 15.0)]
    assert [(b.at, b.mean) for b in store.bins(CAVE, 3600, 0.0, 1e11)] == [
        (NOON, 11.0),
        (NOON + 2 * HOUR, 15.0),
    ]
    assert store.latest()[CAVE] == Reading(CAVE, NOON + 2 * HOUR, 15.0)


def test_nothing_is_overwritten_where_a_reading_belongs_and_it_is_not_lost(store: Store) -> None:
    machine = Machine(store, error=-HOUR)
    machine.reads(11.0)
    store.add_readings([Reading(CAVE, NOON, 12.0, dated=True)])

    machine.set()

    assert kept(store) == [(NOON, 12.0)]
    assert store._rows("SELECT ts, v, stands FROM unplaced") == [(NOON, 1100, 0)]


def test_readings_that_came_with_their_own_time_never_move(store: Store) -> None:
    machine = Machine(store, error=-HOUR)
    store.add_readings([Reading(CAVE, NOON - 600.0, 12.0, dated=True)])

    machine.set()

    assert kept(store) == [(NOON - 600.0, 12.0)]


def test_a_clock_that_was_ahead_is_put_back_likewise(store: Store) -> None:
    machine = Machine(store, error=5 * HOUR)
    machine.reads(11.0)
    machine.enters(Turned((7,)))

    machine.set()

    assert kept(store) == [(NOON, 11.0)]
    assert [entry.at for entry in store.entries()] == [NOON]


def test_a_clock_that_is_set_by_hand_and_then_by_the_network_places_twice(store: Store) -> None:
    machine = Machine(store, error=-30 * HOUR)
    machine.reads(11.0)
    machine.enters(Turned((7,)))
    machine.calls(State.UNACK)
    machine.tick(10.0)
    machine.set(error=-300.0, by=None)
    machine.reads(12.0)
    assert kept(store) == [(NOON - 300.0, 11.0), (NOON - 290.0, 12.0)]

    machine.tick(10.0)
    machine.set()

    assert kept(store) == [(NOON, 11.0), (NOON + 10.0, 12.0)]
    assert [entry.at for entry in store.entries()] == pytest.approx([NOON], abs=1e-3)
    assert [each.at for each in store.transitions(NOON - 1.0)] == pytest.approx([NOON], abs=1e-3)


def test_what_was_placed_for_good_stays_when_the_clock_is_set_again(store: Store) -> None:
    machine = Machine(store, error=-HOUR)
    machine.reads(11.0)
    machine.enters(Turned((7,)))
    machine.tick(60.0)
    machine.set()
    machine.tick(60.0)
    machine.set(error=700.0)

    assert kept(store) == [(NOON, 11.0)]
    assert [entry.at for entry in store.entries()] == pytest.approx([NOON], abs=1e-3)


def test_an_alarm_that_calls_from_before_the_power_cut_keeps_that_time(store: Store) -> None:
    machine = Machine(store)
    machine.calls(State.UNACK)
    machine.tick(2 * HOUR)
    machine.switched_on("b", error=-2 * HOUR + 7.0)
    machine.calls(State.ACKED, since=NOON)

    machine.set()

    [alarm] = store.alarms().values()
    assert (alarm.since, alarm.called) == (NOON, NOON)
    assert store.transitions(0.0)[-1].at == NOON + 2 * HOUR


def test_an_alarm_that_began_while_the_clock_was_not_set_moves_with_it(store: Store) -> None:
    machine = Machine(store, error=-30 * HOUR)
    machine.calls(State.UNACK)
    machine.tick(60.0)
    machine.calls(State.ACKED, since=NOON - 30 * HOUR)

    machine.set()

    [alarm] = store.alarms().values()
    assert (alarm.since, alarm.called) == pytest.approx((NOON, NOON), abs=1e-3)
    assert [each.at for each in store.transitions(NOON)] == pytest.approx([NOON, NOON + 60.0])


def test_what_had_to_wait_for_room_on_the_disk_is_placed_when_it_is_written(store: Store) -> None:
    machine = Machine(store, error=-HOUR)
    machine.reads(11.0)
    unset = store.stamp
    machine.tick(60.0)
    machine.set()

    store.stamp = unset
    store.add_readings([Reading(CAVE, NOON - HOUR + 20.0, 12.0)])

    assert kept(store) == [(NOON, 11.0), (NOON + 20.0, 12.0)]


def test_a_test_of_a_sensor_and_a_missing_value_move_without_a_roll_up(store: Store) -> None:
    machine = Machine(store, error=-HOUR)
    machine.reads(33.0, SignalStatus.CHECK)
    machine.tick(1.0)
    machine.reads(None, SignalStatus.FAILURE)

    machine.set()

    assert kept(store) == [(NOON, 33.0), (NOON + 1.0, None)]
    assert store.bins(CAVE, 60, 0.0, 1e11) == []


def test_who_keeps_entries_is_told_that_facts_were_placed(store: Store) -> None:
    machine = Machine(store, error=-HOUR)
    before = store.generation()
    machine.set()

    assert store.generation() != before


class TestTrust:
    """Whether the clock is believed."""

    def test_the_machine_is_believed(self, store: Store) -> None:
        stamp = Stamp(NOON, "a", 5.0, SetBy.BATTERY)
        assert store.judged(stamp) == stamp
        assert not store.judged(replace(stamp, by=None)).sure

    def test_the_word_of_the_maker_holds_until_the_machine_is_switched_off(
        self, store: Store
    ) -> None:
        stamp = Stamp(NOON, "a", 5.0, None)
        store.say_right("a")
        assert store.judged(stamp).by is SetBy.MAKER
        assert store.judged(replace(stamp, boot="b")).by is None

    @pytest.mark.parametrize("fact", ["reading", "entry", "transition"])
    def test_a_clock_behind_the_newest_sure_fact_is_not_believed(
        self, store: Store, fact: str
    ) -> None:
        machine = Machine(store)
        machine.tick(HOUR)
        match fact:
            case "reading":
                machine.reads(11.0)
            case "entry":
                machine.enters(Noted("x"))
            case _:
                machine.calls(State.UNACK)

        behind = Stamp(machine.at - 600.0, "b", 5.0, SetBy.NETWORK)
        assert not store.judged(behind).sure
        assert store.judged(replace(behind, wall=machine.at)).sure
        store.say_right("b")
        assert store.judged(behind).by is SetBy.MAKER

    def test_what_is_unsure_or_came_with_a_time_of_its_own_vouches_for_nothing(
        self, store: Store
    ) -> None:
        machine = Machine(store, error=9 * HOUR)
        machine.reads(11.0)
        machine.enters(Noted("x"))
        machine.calls(State.UNACK)
        store.add_readings([Reading(TUB, NOON + 20 * HOUR, 12.0, dated=True)])

        assert store.judged(Stamp(NOON, "b", 5.0, SetBy.NETWORK)).sure

    def test_a_clock_that_was_right_once_stays_so_without_the_network(self, store: Store) -> None:
        machine = Machine(store, error=-HOUR)
        machine.reads(11.0)
        machine.set()

        assert store.judged(replace(machine.stamp(), by=None)).sure


boots = st.lists(
    st.tuples(
        st.integers(-200_000, 200_000),  # how wrong the clock is at first [s]
        st.lists(
            st.one_of(
                st.tuples(st.just("read"), st.integers(1, 4000)),
                st.tuples(st.just("step"), st.integers(-100_000, 100_000)),
                st.tuples(st.just("set"), st.just(0)),
            ),
            max_size=8,
        ),
    ),
    min_size=1,
    max_size=4,
)


@settings(deadline=None, max_examples=200)
@given(boots)
def test_any_order_of_boots_and_steps_conserves_every_reading_and_every_roll_up(
    happened: list[tuple[int, list[tuple[str, int]]]],
) -> None:
    with closing(Store.in_memory()) as store:
        machine = Machine(store)
        given: dict[float, float] = {}
        for number, (error, events) in enumerate(happened):
            machine.switched_on(f"boot {number}", float(error))
            for what, amount in events:
                machine.tick(float(amount if what == "read" else 1.0))
                if what == "read":
                    value = float(len(given)) / 10.0
                    given[value] = machine.at
                    machine.reads(value)
                elif what == "step" and not store.judged(machine.stamp()).sure:
                    machine.set(error=float(amount), by=None)
                elif what == "set":
                    machine.set()
            machine.set()

        standing = {value: at for at, value in kept(store)}
        aside = [v / 100.0 for (v,) in store._rows("SELECT v FROM unplaced WHERE NOT stands")]
        assert Counter([*standing, *aside]) == Counter(list(given))
        assert standing == {value: at for value, at in given.items() if value in standing}
        assert aside == []
        for width in (60, 3600):
            assert sum(b.n for b in store.bins(CAVE, width, 0.0, 1e11)) == len(standing)  # type: ignore[arg-type]
