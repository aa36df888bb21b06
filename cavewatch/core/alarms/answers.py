"""What a maker can do with an alarm: the entry for it, or why it is refused.

Shells ask here before they write, so that no entry asks an alarm for a
transition that its state does not have.
"""

from cavewatch.core import journal
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.alarms.suppression import checked_end
from cavewatch.core.alarms.table import CALLING, State, Trigger, legal
from cavewatch.core.errors import CavewatchError


class AnswerError(CavewatchError):
    """An alarm cannot take this."""


def acknowledge(alarm: Alarm) -> journal.Acknowledged:
    """Somebody has seen it; raise AnswerError if it does not call."""
    if alarm.state not in CALLING:
        raise AnswerError(f"'{alarm.key}' does not wait to be acknowledged: it is {alarm.state}")
    return journal.Acknowledged(alarm.key)


def reset(alarm: Alarm) -> journal.Reset:
    """Let a latched alarm go; raise AnswerError for one that is not latched."""
    if not legal(alarm.state, Trigger.RESET):
        raise AnswerError(f"'{alarm.key}' is not latched and needs no reset: it is {alarm.state}")
    return journal.Reset(alarm.key)


def shelve(key: str, at: float, seconds: float, why: str) -> journal.Shelved:
    """Set an alarm aside from `at` [s since 1970 UTC]; raise CavewatchError if for too long."""
    return journal.Shelved(key, checked_end(State.SHLVD, at, at + seconds), why)


def unshelve(alarm: Alarm) -> journal.Unshelved:
    """Take a shelved alarm back; raise AnswerError for one that is not shelved."""
    if alarm.state is not State.SHLVD:
        raise AnswerError(f"'{alarm.key}' is not shelved: it is {alarm.state}")
    return journal.Unshelved(alarm.key)


def take_out(key: str, why: str) -> journal.OutOfService:
    """Take an alarm out of service; raise AnswerError without a reason."""
    if not why.strip():
        raise AnswerError("say why the alarm is taken out of service: nobody hears it from now on")
    return journal.OutOfService(key, why.strip())


def suppress(place: str, at: float, seconds: float, why: str) -> journal.Suppressed:
    """The alarms of a place's air or brine do not count for so long from `at`; 0 s ends it.

    Raises:
        CavewatchError: for too long a time.
    """
    return journal.Suppressed(place, checked_end(State.DSUPR, at, at + seconds), why)
