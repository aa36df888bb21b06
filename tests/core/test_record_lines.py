"""The journal as a record, alarms with what was done, and gaps."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.engine import Condition, step
from cavewatch.core.alarms.table import State
from cavewatch.core.journal import Acknowledged, Act, Corrected, Entry, Noted, Voided, standing
from cavewatch.core.record import Gap, gaps, lines, occurrences
from cavewatch.core.record.occurrences import named
from cavewatch.core.urgent import wheel_words

DRY = "cave.humidity low"


def entry(number: int, at: float, act: Act) -> Entry:
    return Entry(number, at, at + 5, "MK", act)


def test_a_struck_entry_stays_and_names_who_struck_it() -> None:
    mistake, right = entry(1, 10, Noted("a")), entry(2, 5, Noted("b"))
    void = entry(3, 20, Voided(1, "wrong wheel"))
    assert [(line.entry, line.struck_by) for line in lines([mistake, right, void])] == [
        (right, None),
        (mistake, void),
        (void, None),
    ]


def test_what_strikes_can_itself_be_struck() -> None:
    note, void, back = entry(1, 10, Noted("a")), entry(2, 20, Voided(1)), entry(3, 30, Voided(2))
    assert [line.struck_by for line in lines([note, void, back])] == [None, back, None]


@given(st.lists(st.integers(1, 12), max_size=12))
def test_an_entry_is_struck_exactly_if_it_does_not_count(targets: list[int]) -> None:
    notes = [entry(n, n, Noted("x")) for n in range(1, 5)]
    voids = [entry(n, n, Voided(target)) for n, target in enumerate(targets, 5)]
    told = lines([*notes, *voids])
    assert [line.entry.id for line in told] == [each.id for each in [*notes, *voids]]
    kept = [line.entry for line in told if not line.struck_by]
    assert [each for each in kept if isinstance(each.act, Noted)] == standing([*notes, *voids])


def run(*abnormal_at: tuple[float, bool]) -> list[Transition]:
    """The transitions of one alarm that was or was not abnormal at these times."""
    alarms: dict[str, Alarm] = {}
    told: list[Transition] = []
    explanation = Explanation("too dry: 84 %", "a door", "cracks", "shut it", 4.0)
    for at, abnormal in abnormal_at:
        now = [Condition(DRY, Priority.LOW, explanation, "cave")] if abnormal else []
        alarms, changed = step(alarms, now, [], at)
        told += changed
    return told


def test_each_time_that_an_alarm_came_has_its_own_actions() -> None:
    transitions = run((10, True), (20, False), (30, True), (40, False))
    entries = [
        entry(1, 12, Acknowledged(DRY)),
        entry(2, 25, Corrected(DRY, "wheels brushed", "door shut")),
        entry(3, 35, Corrected(DRY, "nothing: an hour only")),
        entry(4, 5, Corrected(DRY, "before any")),
        entry(5, 35, Corrected("other", "of another alarm")),
    ]
    first, second = occurrences(transitions, entries)
    assert (first.since, first.until, second.since, second.until) == (10, 20, 30, 40)
    assert first.acknowledged is entries[0]
    assert second.acknowledged is None
    assert (first.actions, second.actions) == ((entries[1],), (entries[2],))
    assert first.alarm.explanation.what == "too dry: 84 %"
    assert first.closed


def test_an_action_does_not_end_what_is_still_abnormal() -> None:
    (found,) = occurrences(run((10, True)), [entry(1, 12, Corrected(DRY, "moved them"))])
    assert found.actions
    assert found.until is None
    assert not found.closed


def test_a_voided_action_is_none() -> None:
    entries = [entry(1, 12, Corrected(DRY, "moved them")), entry(2, 13, Voided(1))]
    assert occurrences(run((10, True), (20, False)), entries)[0].actions == ()


def test_what_came_and_went_while_shelved_is_on_record_too() -> None:
    told = Explanation("dry", "", "", "", 1.0)
    shelved = Alarm(DRY, State.SHLVD, Priority.LOW, 10.0, told, beneath=State.UNACK)
    after = Alarm(DRY, State.SHLVD, Priority.LOW, 10.0, told, beneath=State.RTNUN)
    (transition,) = run((10, True))
    changes = [
        Transition(10.0, State.NORM, transition.trigger, shelved),
        Transition(30.0, State.SHLVD, transition.trigger, after),
    ]
    (found,) = occurrences(changes, [])
    assert (found.since, found.until) == (10.0, 30.0)


@given(st.sets(st.integers(1, 900), min_size=1, max_size=30))
def test_the_wheels_that_a_key_names_are_those_it_was_made_of(numbers: set[int]) -> None:
    assert named(f"{wheel_words(numbers)} lift late") == numbers


@pytest.mark.parametrize("key", [DRY, "wheelhouse 3 x", "wheels x late", "wheel 99999999999 late"])
def test_a_key_without_wheels_names_none(key: str) -> None:
    assert named(key) == frozenset()


def test_gaps_are_told_from_the_first_to_the_last_moment_asked_for() -> None:
    starts = [60, 120, 600, 660]
    assert list(gaps(starts, 60, 0, 1000, 100)) == [Gap(180, 600), Gap(720, 1000)]
    assert list(gaps([], 60, 0, 1000, 100)) == [Gap(0, 1000)]
    assert list(gaps([0], 60, 0, 100, 100)) == []


@given(st.sets(st.integers(0, 99), max_size=60), st.integers(1, 10))
def test_gaps_and_bins_never_overlap_and_leave_nothing_long_out(
    minutes: set[int], least: int
) -> None:
    found = list(gaps(sorted(60 * m for m in minutes), 60, 0, 6000, 60 * least))
    empty = set(range(100)) - minutes
    inside = {m for gap in found for m in range(int(gap.since) // 60, int(gap.until) // 60)}
    assert inside <= empty
    runs = "".join("." if m in empty else "#" for m in range(100)).split("#")
    assert sorted(len(run) for run in runs if len(run) >= least) == sorted(
        (gap.until - gap.since) / 60 for gap in found
    )
