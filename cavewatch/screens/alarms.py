"""Alarms as lines, with their state in words."""

from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.alarms.alarm import Alarm, Priority
from cavewatch.core.alarms.table import SUPPRESSED, State
from cavewatch.screens.lines import Line, Part, Role, cell, clean, fit, spread, width_of

STATES = {
    State.NORM: "normal",
    State.UNACK: "unacknowledged",
    State.ACKED: "acknowledged",
    State.RTNUN: "returned, unacknowledged",
    State.LATCHED_UNACK: "latched, unacknowledged",
    State.LATCHED_ACKED: "latched, acknowledged",
    State.SHLVD: "shelved",
    State.DSUPR: "suppressed by design",
    State.OOSRV: "out of service",
}
"""The states of IEC 62682 in words."""
PRIORITIES = {Priority.HIGH: "HIGH", Priority.MEDIUM: "medium", Priority.LOW: "low"}
_ROLES = {
    State.UNACK: Role.ALERT,
    State.RTNUN: Role.CAUTION,
    State.LATCHED_UNACK: Role.CAUTION,
    **dict.fromkeys(SUPPRESSED, Role.FAINT),
}


_WHAT = {Role.ALERT: Role.STRONG, Role.FAINT: Role.FAINT}


def when(alarm: Alarm, now: float, zone: ZoneInfo) -> str:
    """Since when it stands, or until when it is suppressed."""
    if alarm.until is not None:
        return f"until {clock.moment(alarm.until, now, zone)}"
    return f"since {clock.moment(alarm.since, now, zone)}"


def alarm_lines(
    alarm: Alarm, now: float, zone: ZoneInfo, width: int, rows: int
) -> tuple[Line, ...]:
    """An alarm in one line, or what and its state below each other in two.

    Where there is no room, the time is left out.
    """
    role = _ROLES.get(alarm.state, Role.PLAIN)
    what = (
        *cell(Part(PRIORITIES[alarm.priority], role), 7),
        Part(clean(alarm.explanation.what), _WHAT.get(role, Role.PLAIN)),
    )
    state = Part(STATES[alarm.state], role)
    since = Part(f", {when(alarm, now, zone)}", Role.FAINT)
    if rows == 2:
        below = (Part("  "), state, since)
        return fit(what, width), below if width_of(below) <= width else below[:2]
    if width_of(what) + 2 + width_of((state, since)) > width:
        return (spread(what, (state,), width),)
    return (spread(what, (state, since), width),)
