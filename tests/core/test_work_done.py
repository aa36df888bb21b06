"""What is entered when work was done as asked, and when sensors fall due."""

import pytest

from cavewatch.core.countdown import CARE, Action, Span
from cavewatch.core.done import act_of
from cavewatch.core.due import Task
from cavewatch.core.journal import (
    Against,
    Entry,
    Noted,
    Salted,
    SensorChecked,
    Turned,
    Voided,
    Wash,
    Washed,
    corrections,
    standing,
)
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.signal.due import checks_due
from cavewatch.core.signal.record import KEEPS, UNKNOWN, records

NOW = Span(0.0, 0.0, 0.0)
DAMP = Channel("lower cave", Quantity.HUMIDITY)
WARM = Channel("lower cave", Quantity.TEMPERATURE)


def task(action: Action, grams: Span | None = None) -> Task:
    return Task(action, NOW, (14, 15), "brine tub", "invented", grams)


def test_a_turn_is_entered_for_its_wheels() -> None:
    assert act_of(task(Action.TURN)) == Turned((14, 15))


@pytest.mark.parametrize("action", CARE)
def test_care_is_entered_as_what_was_asked(action: Action) -> None:
    assert act_of(task(action)) == Washed((14, 15), Wash(action))


@pytest.mark.parametrize("action", [Action.SALT_FACE, Action.COAT])
def test_salt_is_entered_in_the_figures_that_are_shown(action: Action) -> None:
    assert act_of(task(action, Span(8.0, 9.04, 11.0))) == Salted((14, 15), 9.0)
    assert act_of(task(action, Span(20.0, 23.4, 26.0))) == Salted((14, 15), 23.0)
    assert act_of(task(action)) is None


@pytest.mark.parametrize("action", [Action.LIFT, Action.TEST])
def test_what_needs_more_to_be_told_is_not_guessed(action: Action) -> None:
    assert act_of(task(action)) is None


def test_a_check_falls_due_when_the_last_one_is_old() -> None:
    check = SensorChecked(str(DAMP), Against.TABLE_SALT, 74.0, 1.5, 0.5, True)
    known = {DAMP: UNKNOWN, WARM: UNKNOWN, **records([Entry(1, 100.0, 100.0, "MK", check)])}
    first, second = checks_due(known, 200.0)
    assert (first.channel, first.at) == (DAMP, 100.0 + KEEPS[Quantity.HUMIDITY])
    assert (second.channel, second.at) == (WARM, None)


def note(id: int) -> Entry:
    return Entry(id, 0.0, 0.0, "MK", Noted("invented"))


def void(id: int, entry: int) -> Entry:
    return Entry(id, 0.0, 0.0, "AB", Voided(entry))


def test_a_correction_is_known_by_what_it_corrects() -> None:
    entries = [note(1), note(2), void(3, 2)]
    assert corrections(entries) == {2: entries[2]}


def test_a_correction_that_is_void_itself_corrects_nothing() -> None:
    entries = [note(1), void(2, 1), void(3, 2)]
    assert corrections(entries) == {2: entries[2]}
    assert standing(entries) == [entries[0]]


def test_of_two_corrections_the_later_is_told() -> None:
    entries = [note(1), void(2, 1), void(3, 1)]
    assert corrections(entries) == {1: entries[2]}
