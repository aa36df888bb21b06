"""The alarm engine. States and transitions: IEC 62682 / ANSI/ISA-18.2 (read in secondary texts)."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.engine import Condition, step
from cavewatch.core.alarms.limits import Side, Tuning, Watch, watched
from cavewatch.core.alarms.table import State, Trigger, after
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Acknowledged, Entry
from cavewatch.core.ranges import Edge, Range

TEXT = Explanation("it is too dry", "a door", "rinds crack", "shut it", 4)
DRY = Condition("cave.humidity low", Priority.MEDIUM, TEXT)


def acknowledged(at: float, key: str = DRY.key) -> Entry:
    return Entry(1, at, at, "MK", Acknowledged(key))


# Every state and every trigger, as the standard's diagram has them.
DIAGRAM = {
    (State.NORM, Trigger.ABNORMAL): State.UNACK,
    (State.NORM, Trigger.NORMAL): State.NORM,
    (State.NORM, Trigger.ACKNOWLEDGE): State.NORM,
    (State.UNACK, Trigger.ABNORMAL): State.UNACK,
    (State.UNACK, Trigger.NORMAL): State.RTNUN,
    (State.UNACK, Trigger.ACKNOWLEDGE): State.ACKED,
    (State.ACKED, Trigger.ABNORMAL): State.ACKED,
    (State.ACKED, Trigger.NORMAL): State.NORM,
    (State.ACKED, Trigger.ACKNOWLEDGE): State.ACKED,
    (State.RTNUN, Trigger.ABNORMAL): State.UNACK,
    (State.RTNUN, Trigger.NORMAL): State.RTNUN,
    (State.RTNUN, Trigger.ACKNOWLEDGE): State.NORM,
}


@pytest.mark.parametrize("state", State)
@pytest.mark.parametrize("trigger", Trigger)
def test_every_state_answers_every_trigger_as_the_standard_says(
    state: State, trigger: Trigger
) -> None:
    assert after(state, trigger) is DIAGRAM[state, trigger]


def test_an_alarm_is_raised_once_and_stays_until_it_is_seen() -> None:
    alarms, first = step({}, [DRY], [], 10.0)
    assert alarms[DRY.key] == Alarm(DRY.key, State.UNACK, Priority.MEDIUM, 10.0, TEXT)
    assert [t.alarm.state for t in first] == [State.UNACK]
    alarms, again = step(alarms, [DRY], [], 20.0)
    assert not again
    assert alarms[DRY.key].since == 10.0
    alarms, gone = step(alarms, [], [], 30.0)
    assert [t.alarm.state for t in gone] == [State.RTNUN]
    alarms, seen = step(alarms, [], [acknowledged(35.0)], 35.0)
    assert [t.alarm.state for t in seen] == [State.NORM]
    assert not alarms


def test_an_acknowledged_alarm_ends_by_itself() -> None:
    alarms, _ = step({}, [DRY], [], 10.0)
    alarms, _ = step(alarms, [DRY], [acknowledged(15.0)], 15.0)
    assert alarms[DRY.key].state is State.ACKED
    alarms, ended = step(alarms, [], [acknowledged(15.0)], 20.0)
    assert not alarms
    assert [t.before for t in ended] == [State.ACKED]


def test_an_old_acknowledgement_is_not_for_a_new_alarm() -> None:
    old = acknowledged(15.0)
    alarms, _ = step({}, [DRY], [], 10.0)
    alarms, _ = step(alarms, [DRY], [old], 15.0)
    alarms, _ = step(alarms, [], [old], 20.0)
    alarms, _ = step(alarms, [DRY], [old], 30.0)
    alarms, quiet = step(alarms, [DRY], [old], 40.0)
    assert alarms[DRY.key].state is State.UNACK
    assert not quiet


def test_what_comes_back_before_it_was_seen_calls_again() -> None:
    alarms, _ = step({}, [DRY], [], 10.0)
    alarms, _ = step(alarms, [], [], 20.0)
    alarms, again = step(alarms, [DRY], [], 30.0)
    assert [(t.before, t.alarm.state) for t in again] == [(State.RTNUN, State.UNACK)]
    assert alarms[DRY.key].since == 30.0


def test_transitions_survive_the_store() -> None:
    _, (found,) = step({}, [DRY], [], 10.0)
    assert Transition.from_plain(found.to_plain()) == found
    with pytest.raises(CavewatchError, match="stored alarm cannot be read"):
        Transition.from_plain({"at": 1.0})


LIMITS = Range(Edge(85.0, "a"), Edge(95.0, "b"))
TUNED = Tuning(deadband=3.0, on_delay=600.0, off_delay=300.0)


def run(values: list[tuple[float, float]], side: Side = Side.LOW) -> list[bool]:
    watch, seen = Watch(), []
    for at, value in values:
        watch = watched(watch, side, LIMITS, value, at, TUNED)
        seen.append(watch.abnormal)
    return seen


def test_a_door_open_for_five_minutes_raises_nothing() -> None:
    door = [(60.0 * minute, 70.0 if 1 <= minute <= 6 else 90.0) for minute in range(30)]
    assert not any(run(door))


def test_a_limit_passed_for_the_whole_delay_is_abnormal() -> None:
    assert run([(0, 84.9), (599, 84.9), (600, 84.9)]) == [False, False, True]


def test_a_value_on_the_edge_is_inside() -> None:
    assert run([(0, 85.0), (900, 85.0)]) == [False, False]
    assert run([(0, 95.0), (900, 95.0)], Side.HIGH) == [False, False]
    assert run([(0, 95.1), (900, 95.1)], Side.HIGH) == [False, True]


def test_it_is_normal_again_only_beyond_the_deadband_for_the_delay() -> None:
    low = [(0.0, 80.0), (600.0, 80.0)]
    assert run([*low, (700, 87.9), (2000, 87.9)])[-1]
    assert run([*low, (700, 88.0), (999, 88.0), (1000, 88.0)])[-2:] == [True, False]


def test_a_compressors_cycle_does_not_restart_the_delay_for_ever() -> None:
    # Beyond the edge all the time, however it swings there.
    swing = [(60.0 * minute, 80.0 + minute % 3) for minute in range(12)]
    assert run(swing)[-1]


def test_without_an_edge_nothing_is_abnormal() -> None:
    watch = watched(Watch(abnormal=True), Side.LOW, Range(None, None), 0.0, 0.0, TUNED)
    assert not watch.abnormal


@given(st.lists(st.floats(0, 100), min_size=1, max_size=60))
def test_it_never_changes_faster_than_its_delays(values: list[float]) -> None:
    seen = run([(60.0 * index, value) for index, value in enumerate(values)])
    changes = [i for i in range(1, len(seen)) if seen[i] != seen[i - 1]]
    for before, later in itertools.pairwise(changes):
        assert (later - before) * 60.0 >= TUNED.off_delay
