"""The alarm engine. States and transitions: IEC 62682 / ANSI/ISA-18.2 (read in secondary texts)."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.engine import Condition, step
from cavewatch.core.alarms.suppression import LONGEST, suppressions
from cavewatch.core.alarms.table import SUPPRESSED, State
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import (
    Acknowledged,
    Act,
    BackInService,
    Entry,
    OutOfService,
    Reset,
    Shelved,
    Suppressed,
    Unshelved,
)

TEXT = Explanation("it is too dry", "a door", "rinds crack", "shut it", 4)
DRY = Condition("cave.humidity low", Priority.MEDIUM, TEXT, place="cave")


HELD = replace(DRY, latching=True)
HOUR = 3600.0


def said(at: float, act: Act) -> Entry:
    return Entry(1, at, at, "MK", act)


def acknowledged(at: float, key: str = DRY.key) -> Entry:
    return said(at, Acknowledged(key))


def test_an_alarm_is_raised_once_and_stays_until_it_is_seen() -> None:
    alarms, first = step({}, [DRY], [], 10.0)
    assert alarms[DRY.key] == Alarm(
        DRY.key, State.UNACK, Priority.MEDIUM, 10.0, TEXT, called=10.0, place="cave"
    )
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


Steps = list[tuple[float, bool]]


@pytest.mark.parametrize("seen", [False, True])
def test_a_call_that_came_true_goes_over_into_the_alarm_of_what_it_foretold(seen: bool) -> None:
    ahead = replace(DRY, key="cave.humidity low forecast")
    alarms, _ = step({}, [ahead], [], 10.0)
    alarms, _ = step(alarms, [ahead], [acknowledged(15.0, ahead.key)] if seen else [], 15.0)
    alarms, _ = step(alarms, [replace(DRY, takes_over=ahead.key)], [], 20.0)
    assert {key: alarm.state for key, alarm in alarms.items()} == {DRY.key: State.UNACK}


def test_a_call_that_came_true_waits_while_the_alarm_of_it_is_shelved() -> None:
    ahead = replace(DRY, key="cave.humidity low forecast")
    alarms, _ = step({}, [ahead], [], 10.0)
    shelf = suppressions([said(12.0, Shelved(DRY.key, HOUR))])
    alarms, _ = step(alarms, [replace(DRY, takes_over=ahead.key)], [], 20.0, shelf)
    assert {alarm.state for alarm in alarms.values()} == {State.RTNUN, State.SHLVD}


def states(
    steps: Steps, entries: list[Entry], condition: Condition = DRY
) -> list[tuple[State, State | None]]:
    """State and what lies beneath after each look: its time, and whether it is abnormal then."""
    alarms: dict[str, Alarm] = {}
    seen = []
    done = 0
    for at, abnormal in steps:
        told = [entry for entry in entries if entry.at <= at]
        alarms, _ = step(
            alarms, [condition] if abnormal else [], told[done:], at, suppressions(told)
        )
        done = len(told)
        alarm = alarms.get(condition.key)
        seen.append((State.NORM, None) if alarm is None else (alarm.state, alarm.beneath))
    return seen


def test_a_latching_alarm_is_held_until_it_is_reset() -> None:
    entries = [acknowledged(30.0), said(40.0, Reset(DRY.key))]
    steps = [(10.0, True), (20.0, False), (30.0, False), (40.0, False)]
    assert [state for state, _ in states(steps, entries, HELD)] == [
        State.UNACK,
        State.LATCHED_UNACK,
        State.LATCHED_ACKED,
        State.NORM,
    ]


def test_a_reset_before_it_was_seen_leaves_it_to_be_acknowledged() -> None:
    steps = [(10.0, True), (20.0, False), (40.0, False)]
    assert states(steps, [said(40.0, Reset(DRY.key))], HELD)[-1] == (State.RTNUN, None)


def test_a_reset_while_it_is_still_abnormal_does_nothing() -> None:
    steps = [(10.0, True), (40.0, True), (50.0, False)]
    assert states(steps, [said(40.0, Reset(DRY.key))], HELD)[1:] == [
        (State.UNACK, None),
        (State.LATCHED_UNACK, None),
    ]


def test_a_shelved_alarm_is_watched_beneath_and_comes_back_calling_at_its_time() -> None:
    entries = [acknowledged(15.0), said(20.0, Shelved(DRY.key, 100.0, "humidifier ordered"))]
    steps = [(10.0, True), (20.0, True), (30.0, False), (40.0, True), (99.0, True), (100.0, True)]
    assert states(steps, entries) == [
        (State.UNACK, None),
        (State.SHLVD, State.ACKED),
        (State.SHLVD, State.NORM),
        (State.SHLVD, State.UNACK),
        (State.SHLVD, State.UNACK),
        (State.UNACK, None),
    ]


def test_what_passed_while_it_was_shelved_is_normal_at_the_end() -> None:
    entries = [said(20.0, Shelved(DRY.key, 100.0))]
    assert states([(10.0, True), (20.0, True), (50.0, False), (100.0, False)], entries)[-1] == (
        State.NORM,
        None,
    )


def test_an_acknowledgement_from_before_the_shelf_is_not_for_its_return() -> None:
    entries = [acknowledged(15.0), said(20.0, Shelved(DRY.key, 100.0))]
    steps = [(10.0, True), (15.0, True), (20.0, True), (100.0, True)]
    alarms: dict[str, Alarm] = {}
    for at, _ in steps:
        told = [entry for entry in entries if entry.at <= at]
        alarms, _ = step(alarms, [DRY], told, at, suppressions(told))
    assert alarms[DRY.key].state is State.UNACK
    assert alarms[DRY.key].since == 10.0


def test_a_latched_alarm_comes_back_latched() -> None:
    entries = [said(20.0, Shelved(DRY.key, 100.0))]
    steps = [(10.0, True), (20.0, True), (50.0, False), (100.0, False)]
    assert states(steps, entries, HELD)[-2:] == [
        (State.SHLVD, State.LATCHED_UNACK),
        (State.LATCHED_UNACK, None),
    ]


def test_a_shelf_lasts_at_most_its_maximum() -> None:
    longest = LONGEST[State.SHLVD]
    entries = [said(0.0, Shelved(DRY.key, 99 * longest))]
    steps = [(10.0, True), (longest - 1, True), (longest, True)]
    assert [state for state, _ in states(steps, entries)] == [
        State.SHLVD,
        State.SHLVD,
        State.UNACK,
    ]


def test_it_can_be_taken_back_before_its_time() -> None:
    entries = [said(20.0, Shelved(DRY.key, 9e3)), said(40.0, Unshelved(DRY.key))]
    assert states([(10.0, True), (20.0, True), (40.0, True)], entries)[-1] == (State.UNACK, None)


def test_while_the_door_is_open_for_cleaning_nothing_is_raised_and_it_ends_by_itself() -> None:
    entries = [said(5.0, Suppressed("cave", 1800.0, "cleaning"))]
    steps = [(10.0, True), (1799.0, False), (1800.0, False), (2000.0, True)]
    assert states(steps, entries) == [
        (State.DSUPR, State.UNACK),
        (State.DSUPR, State.RTNUN),
        (State.NORM, None),
        (State.UNACK, None),
    ]


def test_a_suppressed_place_does_not_silence_what_is_not_its_air() -> None:
    lost = replace(DRY, key="cave.humidity silent", place="")
    entries = [said(5.0, Suppressed("cave", 1800.0))]
    assert states([(10.0, True)], entries, lost) == [(State.UNACK, None)]


def test_out_of_service_lasts_until_it_is_put_back_and_goes_before_the_others() -> None:
    entries = [
        said(5.0, OutOfService(DRY.key, "probe at the calibrator")),
        said(6.0, Shelved(DRY.key, 50.0)),
        said(7.0, Suppressed("cave", 60.0)),
        said(1e9, BackInService(DRY.key)),
    ]
    assert [s for s, _ in states([(10.0, True), (9e8, True), (1e9, True)], entries)] == [
        State.OOSRV,
        State.OOSRV,
        State.UNACK,
    ]


def test_a_shelf_that_ends_while_the_place_is_suppressed_does_not_call_in_between() -> None:
    entries = [said(5.0, Shelved(DRY.key, 50.0)), said(6.0, Suppressed("cave", 90.0))]
    assert [s for s, _ in states([(10.0, True), (50.0, True), (90.0, True)], entries)] == [
        State.SHLVD,
        State.DSUPR,
        State.UNACK,
    ]


def test_a_clock_that_is_put_back_does_not_keep_an_alarm_from_being_seen() -> None:
    alarms, _ = step({}, [DRY], [], 5000.0)
    alarms, _ = step(alarms, [DRY], [acknowledged(1000.0)], 1000.0)
    assert alarms[DRY.key].state is State.ACKED


answers = st.sampled_from(
    [
        Acknowledged(DRY.key),
        Reset(DRY.key),
        Shelved(DRY.key, 400.0),
        Unshelved(DRY.key),
        OutOfService(DRY.key, "test"),
        BackInService(DRY.key),
        Suppressed("cave", 300.0),
    ]
)


@given(
    st.lists(st.tuples(st.booleans(), st.lists(answers, max_size=2)), max_size=30), st.booleans()
)
def test_every_transition_is_one_of_the_table_and_follows_the_last(
    looks: list[tuple[bool, list[Act]]], latching: bool
) -> None:
    condition = replace(DRY, latching=latching)
    alarms: dict[str, Alarm] = {}
    entries: list[Entry] = []
    state = State.NORM
    for n, (abnormal, acts) in enumerate(looks):
        at = 20.0 * n
        fresh = [said(at, act) for act in acts]
        entries += fresh
        alarms, happened = step(
            alarms, [condition] if abnormal else [], fresh, at, suppressions(entries)
        )
        for found in happened:
            assert found.before is state
            state = found.alarm.state
            assert (found.alarm.beneath is None) is (state not in SUPPRESSED)
        assert set(alarms) <= {DRY.key}
        assert state is (alarms[DRY.key].state if alarms else State.NORM)
        if state not in SUPPRESSED:
            assert (state in (State.UNACK, State.ACKED)) is abnormal
        for found in happened:
            assert Transition.from_plain(found.to_plain()) == found
