"""Alarms as lines, with their state in words."""

from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.alarms.alarm import Alarm, Priority
from cavewatch.core.alarms.table import State
from cavewatch.screens.lines import Line, Part, Role, clean, fit, spread

STATES = {
    State.NORM: "normal",
    State.UNACK: "unacknowledged",
    State.ACKED: "acknowledged",
    State.RTNUN: "returned, unacknowledged",
}
"""The states of IEC 62682 in words."""
PRIORITIES = {Priority.HIGH: "HIGH", Priority.MEDIUM: "medium", Priority.LOW: "low"}
_ROLES = {State.UNACK: Role.ALERT, State.RTNUN: Role.CAUTION}


def alarm_lines(
    alarm: Alarm, now: float, zone: ZoneInfo, width: int, rows: int
) -> tuple[Line, ...]:
    """An alarm in one line, or what and its state below each other in two."""
    role = _ROLES.get(alarm.state, Role.PLAIN)
    what = (Part(f"{PRIORITIES[alarm.priority]:<7}", role), Part(clean(alarm.explanation.what), role))
    state = (
        Part(STATES[alarm.state], role),
        Part(f", since {clock.moment(alarm.since, now, zone)}", Role.FAINT),
    )
    if rows == 1:
        return (spread(what, state, width),)
    return fit(what, width), fit((Part("  "), *state), width)
