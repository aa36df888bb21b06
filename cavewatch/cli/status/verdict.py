"""How the dairy stands, as one of four words that a script can act on."""

from enum import IntEnum

from cavewatch.core.alarms.table import State
from cavewatch.core.dairy import Dairy

_CALLING = (State.UNACK, State.LATCHED_UNACK)
_STANDING = (State.ACKED, State.RTNUN, State.LATCHED_ACKED)


class Verdict(IntEnum):
    """The exit status; a higher one outranks the lower ones."""

    WELL = 0
    ATTENTION = 1
    """Work is due, an alarm is acknowledged or passed unseen, or the clock is not set."""
    ALARM = 2
    """An alarm waits to be acknowledged."""
    UNWATCHED = 3
    """Nobody would notice what goes wrong."""


def verdict(dairy: Dairy, recording: bool, trouble: str) -> tuple[Verdict, str]:
    """The verdict, and its reason where neither alarms nor tasks tell it.

    Args:
        dairy: the picture.
        recording: whether a recorder is at work.
        trouble: what a recorder says that cannot write its alarms down, empty for none; or how
            to start one.
    """
    if not recording:
        return Verdict.UNWATCHED, trouble
    views = [view for place in dairy.places for view in place.channels]
    if views and all(view.silent for view in views):
        return Verdict.UNWATCHED, trouble or "every sensor is silent"
    states = {alarm.state for alarm in dairy.alarms}
    if trouble or states.intersection(_CALLING):
        return Verdict.ALARM, trouble
    due = any(task.late_by(dairy.at) >= 0 for task in dairy.tasks)
    if due or states.intersection(_STANDING) or not dairy.clock_sure:
        return Verdict.ATTENTION, ""
    return Verdict.WELL, ""
