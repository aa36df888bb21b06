"""Alarms as a record: each time that one was abnormal, who saw it, and what was done about it."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.journal import Acknowledged, Corrected, Entry, standing

_WHEELS = re.compile(r"wheels? (\d{1,6}(?:–\d{1,6})?(?:, \d{1,6}(?:–\d{1,6})?)*) ")


@dataclass(frozen=True, slots=True)
class Occurrence:
    """One time that an alarm's cause was there, from its coming to its going."""

    alarm: Alarm
    """As it stood when its cause came, with what it told."""
    since: float
    """[s since 1970 UTC]"""
    until: float | None = None
    """When the cause was gone [s since 1970 UTC]; None while it is there."""
    acknowledged: Entry | None = None
    """The first that says somebody saw it (its act is an `Acknowledged`)."""
    actions: tuple[Entry, ...] = ()
    """What was done about it (their acts are `Corrected`), in order."""

    @property
    def closed(self) -> bool:
        """True once its cause is gone and it has a corrective action."""
        return self.until is not None and bool(self.actions)


def occurrences(
    transitions: Iterable[Transition], entries: Iterable[Entry]
) -> tuple[Occurrence, ...]:
    """Each time that an alarm was abnormal, by its beginning, suppressed or not.

    An entry about an alarm is for the last time of its key that had begun when
    it happened; one from before the first is for none.

    Args:
        transitions: by time; those from before are not missed but for occurrences that
            were over by then.
        entries: the journal; entries that do not count are left out.
    """
    found: dict[str, list[Occurrence]] = {}
    for each in transitions:
        times = found.setdefault(each.alarm.key, [])
        runs = bool(times) and times[-1].until is None
        if each.alarm.abnormal and not runs:
            times.append(Occurrence(each.alarm, each.alarm.since))
        elif runs and not each.alarm.abnormal:
            times[-1] = replace(times[-1], until=each.at)
    for entry in standing(entries):
        if isinstance(entry.act, Acknowledged | Corrected):
            _join(found.get(entry.act.alarm, []), entry)
    every = (occurrence for times in found.values() for occurrence in times)
    return tuple(sorted(every, key=lambda each: (each.since, each.alarm.key)))


def named(key: str) -> frozenset[int]:
    """The wheels that an alarm's key names as `urgent.wheel_words` writes them."""
    words = _WHEELS.match(key)
    if words is None:
        return frozenset()
    found: set[int] = set()
    for part in words[1].split(", "):
        first, _, last = part.partition("–")
        found.update(range(int(first), int(last or first) + 1))
    return frozenset(found)


def _join(times: list[Occurrence], entry: Entry) -> None:
    """Put an entry to the time that it is for."""
    for index in range(len(times) - 1, -1, -1):
        occurrence = times[index]
        if occurrence.since <= entry.at:
            if isinstance(entry.act, Corrected):
                times[index] = replace(occurrence, actions=(*occurrence.actions, entry))
            elif occurrence.acknowledged is None:
                times[index] = replace(occurrence, acknowledged=entry)
            return
