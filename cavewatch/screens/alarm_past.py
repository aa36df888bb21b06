"""The past of the alarms, asked of the desk once for each change, and its figures."""

from collections.abc import Sequence
from dataclasses import dataclass

from cavewatch.core.alarms.alarm import Transition
from cavewatch.core.alarms.answered import AnsweredFigures, answered_figures
from cavewatch.core.alarms.carried import carried
from cavewatch.core.alarms.figures import DAY, AlarmFigures, alarm_figures
from cavewatch.core.dairy import Dairy
from cavewatch.core.record import Occurrence, occurrences
from cavewatch.screens.desk import Desk

SPANS = {7: "week", 30: "month", 91: "season"}
"""How far back is looked [day], and what it is called."""
_OLD = 600.0
"""Figures are made anew after this long even if no alarm changed [s]."""


@dataclass(frozen=True, slots=True)
class AlarmPast:
    """What the alarms did in a span that ends now."""

    since: float
    """[s since 1970 UTC]"""
    until: float
    """[s since 1970 UTC]"""
    transitions: Sequence[Transition]
    """By time; what stood when the span began is carried into it."""
    came: Sequence[Occurrence]
    """Each time that an alarm came, or had come and was still there, with what was done."""
    figures: AlarmFigures
    answered: AnsweredFigures


class AlarmPasts:
    """Asks for the past, and keeps it for as long as it is the same."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._key: object = None
        self._kept: AlarmPast | None = None

    def of(self, dairy: Dairy, days: int) -> AlarmPast:
        """The last so many days."""
        key = days, dairy.alarms, len(self._desk.entries()), self._desk.display
        kept = self._kept
        if kept is None or key != self._key or not 0 <= dairy.at - kept.until < _OLD:
            self._key = key
            self._kept = kept = _past(self._desk, dairy, days)
        return kept


def _past(desk: Desk, dairy: Dairy, days: int) -> AlarmPast:
    # What happened in this very second belongs to it too.
    since, until = dairy.at - days * DAY, dairy.at + 1.0
    # What stands by now may have come long before: it is told from its beginning.
    first = min((since, *(alarm.since for alarm in dairy.alarms)))
    found = desk.transitions(first, until)
    every = [*carried(found, dairy.alarms, first), *found]
    came = occurrences(every, desk.entries())
    return AlarmPast(
        since,
        dairy.at,
        every,
        [each for each in came if each.until is None or each.until >= since],
        alarm_figures(every, since, until),
        answered_figures(every, since, until),
    )
