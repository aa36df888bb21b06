"""What the alarms did, as lines: one for each time that one came, and the whole of one."""

from collections.abc import Iterable
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.alarms.alarm import Transition
from cavewatch.core.alarms.table import Trigger
from cavewatch.core.journal import Corrected
from cavewatch.core.record import Occurrence
from cavewatch.screens import wording
from cavewatch.screens.alarms import PRIORITIES
from cavewatch.screens.details import fact
from cavewatch.screens.lines import Line, Part, Role, clean, fit, pad, spread
from cavewatch.screens.plan import NARROW

_DID = {
    Trigger.ABNORMAL: "called",
    Trigger.NORMAL: "passed",
    Trigger.LATCH: "passed, held",
    Trigger.ACKNOWLEDGE: "acknowledged",
    Trigger.RESET: "reset",
    Trigger.TAKE_OVER: "came true",
    Trigger.SHELVE: "shelved",
    Trigger.SUPPRESS: "suppressed",
    Trigger.TAKE_OUT: "taken out",
    Trigger.RETURN_NORMAL: "back, normal",
    Trigger.RETURN_ABNORMAL: "back, calling",
    Trigger.RETURN_LATCHED: "back, held",
}
"""What happened."""
_LASTED = 10
"""Cells for how long it lasted."""
OPEN = "no action"
"""Marks a time without a corrective action on record."""


def past_line(came: Occurrence, zone: ZoneInfo, width: int) -> Line:
    """When it came, for how long, and what it told; marked where no action is on record.

    Where it is narrow, a sign before it is the mark.
    """
    there = clock.local(came.since, zone)
    what = Part(clean(came.alarm.explanation.what))
    if width < NARROW:
        sign = Part("  ") if came.actions else Part("! ", Role.CAUTION)
        return fit((sign, Part(f"{there.day:2} {there:%b %H:%M}  ", Role.FAINT), what), width)
    left: Line = (
        Part(f"{there:%a} {there.day:2} {there:%b %H:%M}  ", Role.FAINT),
        Part(pad(_lasted(came), _LASTED), Role.FAINT if came.until else Role.PLAIN),
        what,
    )
    mark = Part("acted on", Role.FAINT) if came.actions else Part(OPEN, Role.CAUTION)
    return spread(left, (mark,), width)


def past_lines(
    came: Occurrence, transitions: Iterable[Transition], now: float, zone: ZoneInfo, width: int
) -> list[Line]:
    """The whole of one time: who saw it, what was done, what the alarm did and told.

    Args:
        came: that time.
        transitions: what the alarms did, by time.
        now: [s since 1970 UTC]
        zone: in which people there read the time.
        width: of a line [cells].
    """
    alarm, told = came.alarm, came.alarm.explanation
    until = "its cause is still there"
    if came.until is not None:
        until = f"{clock.moment(came.until, now, zone)}, after {_lasted(came)}"
    seen = came.acknowledged
    seen_by = "nobody" if seen is None else f"{seen.by}, {clock.moment(seen.at, now, zone)}"
    return [
        *fact("what", told.what, width, Role.STRONG),
        *fact("how far", told.how_far, width),
        *fact("came", clock.moment(came.since, now, zone), width),
        *fact("until", until, width),
        *fact("seen by", seen_by, width),
        *action_lines(came, now, zone, width),
        *fact("priority", PRIORITIES[alarm.priority], width),
        *fact("it", _course(came, transitions, now, zone), width),
        *fact("do", told.action, width),
        *fact("if not done", told.consequence, width),
        *fact("who else", told.others, width),
        *fact("likely causes", told.causes, width),
    ]


def action_lines(came: Occurrence, now: float, zone: ZoneInfo, width: int) -> list[Line]:
    """What was done with the product and about the cause, or that nothing is on record."""
    if not came.actions:
        return fact("done", "no action on record; C enters one", width, Role.CAUTION)
    return [
        line
        for number, entry in enumerate(came.actions)
        if isinstance(entry.act, Corrected)
        for line in fact(
            "" if number else "done",
            f"{clock.moment(entry.at, now, zone)}: {wording.action_words(entry.act)} ({entry.by})",
            width,
        )
    ]


def _lasted(came: Occurrence) -> str:
    if came.until is None:
        return "still on"
    return wording.length(came.until - came.since)


def _course(came: Occurrence, transitions: Iterable[Transition], now: float, zone: ZoneInfo) -> str:
    """'called 13:30, acknowledged 14:00, passed 17:30'; its end is seen until it is over."""
    key, found = came.alarm.key, []
    for each in transitions:
        if each.alarm.key != key or each.at < came.since:
            continue
        if came.until is not None and each.at > came.until and each.alarm.abnormal:
            break
        found.append(f"{_did(each)} {clock.moment(each.at, now, zone)}")
    return ", ".join(found)


def _did(transition: Transition) -> str:
    """What happened; a suppressed alarm goes on without calling."""
    quiet = transition.alarm.beneath is not None
    if quiet and transition.trigger is Trigger.ABNORMAL:
        return "came, unheard"
    if quiet and transition.trigger in (Trigger.NORMAL, Trigger.LATCH):
        return "went, unheard"
    return _DID[transition.trigger]
