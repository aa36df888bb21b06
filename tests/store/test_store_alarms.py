"""The table of alarm transitions."""

import math
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.text import clean
from cavewatch.store import Store, StoreError

texts = st.text(max_size=40).map(lambda text: clean(text, 40))
instants = st.floats(0, 1e11)
transitions = st.builds(
    Transition,
    at=instants,
    before=st.sampled_from(State),
    trigger=st.sampled_from(Trigger),
    alarm=st.builds(
        Alarm,
        key=st.sampled_from(["lower cave.humidity low", "wheel 14 lift late", "tub silent"]),
        state=st.sampled_from(State),
        priority=st.sampled_from(Priority),
        since=instants,
        explanation=st.builds(Explanation, texts, texts, texts, texts, st.floats(0, 1000)),
        called=instants,
        place=texts,
        latching=st.booleans(),
        beneath=st.none() | st.sampled_from(State),
        until=st.none() | instants,
        why=texts,
    ),
)


def transition(at: float, key: str, state: State, what: str = "too dry") -> Transition:
    told = Explanation(what, "door open", "rind cracks", "shut the door", 4.0)
    alarm = Alarm(key, state, Priority.LOW, at, told)
    return Transition(at, State.NORM, Trigger.ABNORMAL, alarm)


@settings(deadline=None)
@given(st.lists(transitions, max_size=12), st.integers(0, 12))
def test_alarms_stand_as_their_last_transitions_left_them(
    happened: list[Transition], cut: int
) -> None:
    last = {t.alarm.key: t.alarm for t in happened}

    with closing(Store.in_memory()) as store:
        store.add_transitions(happened[:cut])
        store.add_transitions(happened[cut:])

        assert store.alarms() == {k: a for k, a in last.items() if a.state is not State.NORM}
        assert store.transitions(0) == sorted(happened, key=lambda t: t.at)


def test_transitions_are_given_from_a_time_on(store: Store) -> None:
    happened = [transition(at, "a", State.UNACK) for at in (10.0, 20.0, 30.0)]
    store.add_transitions(happened)

    assert store.transitions(20.0) == happened[1:]


def test_what_was_written_last_counts_even_if_its_clock_was_behind(store: Store) -> None:
    store.add_transitions([transition(100.0, "a", State.UNACK)])
    store.add_transitions([transition(50.0, "a", State.ACKED)])

    assert store.alarms()["a"].state is State.ACKED


def test_no_control_character_of_an_alarm_comes_back(store: Store) -> None:
    store.add_transitions([transition(1.0, "c\x1bave low", State.UNACK, "too \x1b[31mdry")])

    assert store.alarms()["cave low"].explanation.what == "too [31mdry"


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE alarm SET state = 'NORM'",
        "DELETE FROM alarm",
        "REPLACE INTO alarm (id, key, at, state, plain) VALUES (1, 'a', 1, 'NORM', '{}')",
    ],
)
def test_no_program_can_change_or_delete_a_transition(store: Store, path: Path, sql: str) -> None:
    happened = [transition(1.0, "a", State.UNACK)]
    store.add_transitions(happened)

    with (
        closing(sqlite3.connect(path)) as other,
        pytest.raises(sqlite3.IntegrityError, match="alarm is append-only"),
    ):
        other.execute(sql)

    assert store.transitions(0) == happened


@pytest.mark.parametrize("plain", ["{", "[]", '{"alarm": 3}', '{"at": 1, "alarm": {}}'])
def test_one_that_cannot_be_read_costs_no_other(store: Store, path: Path, plain: str) -> None:
    store.add_transitions([transition(1.0, "a", State.UNACK)])
    with closing(sqlite3.connect(path)) as other, other:
        other.execute(
            "INSERT INTO alarm (id, key, at, state, plain) VALUES (2, 'b', 2, 'UNACK', ?)", (plain,)
        )

    assert [*store.alarms()] == ["a"]
    assert [each.alarm.key for each in store.transitions(0)] == ["a"]
    store.add_transitions([transition(3.0, "b", State.UNACK)])
    assert [*store.alarms()] == ["a", "b"]


def test_a_time_that_is_no_number_is_refused(store: Store) -> None:
    good = transition(1.0, "a", State.UNACK)
    with pytest.raises(StoreError, match="finite"):
        store.add_transitions([good, transition(math.nan, "a", State.UNACK)])

    assert store.transitions(0) == []


def test_the_last_of_each_key_is_found_through_the_index(store: Store) -> None:
    plan = store._rows("EXPLAIN QUERY PLAN SELECT max(id) FROM alarm GROUP BY key")

    assert "COVERING INDEX alarm_key" in plan[0][-1]
