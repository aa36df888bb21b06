"""Which alarms are told to whom and when: one pure step for one notice.

Theory of operation. A *call* begins when an alarm becomes unacknowledged and ends
when it is acknowledged, suppressed or over and seen; if it comes and goes meanwhile,
it is one call. A call is due once it is `after` old while its cause is there, so
that what passes by itself sooner is never told. A due call is told as soon as the
quiet hours allow, also if its cause has gone by then, and told again every `repeat`
while its cause is there. When nothing has stood for a while of what such a notice tells,
that is told once; whatever was told is then over, and an alarm that comes back is a new
call.

`step` only proposes a message. It counts when `sent` says so, after it has truly gone
out; until then each step proposes anew, from the alarms as they are by then. So a
message that fails is neither lost nor told late as if it were news, and a restart
repeats nothing.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any, Self

from cavewatch.core.alarms.alarm import Alarm, Priority
from cavewatch.core.alarms.table import CALLING, State
from cavewatch.core.errors import CavewatchError
from cavewatch.core.notices.settings import Notice

_STANDING = (State.UNACK, State.ACKED, State.LATCHED_UNACK, State.LATCHED_ACKED)
_TIMED = (State.SHLVD, State.DSUPR)
"""Suppressed, but coming back by itself."""
_WEIGHT = (Priority.LOW, Priority.MEDIUM, Priority.HIGH)
CALM = 600.0
"""All is well when nothing has stood for this long, so that an alarm that comes and goes is not
called off each time; judgement [s]."""


class Kind(StrEnum):
    """What a message is about."""

    ALARM = "alarm"
    AGAIN = "again"
    WELL = "well"
    TRIAL = "trial"


@dataclass(frozen=True, slots=True)
class Call:
    """An alarm that waits for somebody."""

    since: float
    """When it began to call [s since 1970 UTC]."""
    due: bool = False
    """Whether it stood long enough to be told."""
    told: float | None = None
    """When it was last told [s since 1970 UTC]; None if it has not been."""

    def no_later(self, at: float) -> Self:
        """The same where the clock was put back to before it."""
        told = None if self.told is None else min(self.told, at)
        return replace(self, since=min(self.since, at), told=told)


@dataclass(frozen=True, slots=True)
class Ledger:
    """What one notice has told, and what it still has to."""

    calls: Mapping[str, Call] = field(default_factory=dict)
    """By key of the alarm."""
    owed: Priority | None = None
    """The highest priority told since all was well; None if there is nothing to call off."""
    calm: float | None = None
    """While something is owed: since when nothing stands [s since 1970 UTC]; None if it does."""

    def to_plain(self) -> dict[str, Any]:
        """As JSON types."""
        calls = {key: [call.since, call.due, call.told] for key, call in self.calls.items()}
        return {"calls": calls, "owed": self.owed, "calm": self.calm}

    @classmethod
    def from_plain(cls, plain: dict[str, Any]) -> Self:
        """The ledger that `to_plain` gave; raise CavewatchError for anything else."""
        try:
            calls = {
                str(key): Call(float(since), bool(due), None if told is None else float(told))
                for key, (since, due, told) in plain["calls"].items()
            }
            owed, calm = plain["owed"], plain["calm"]
            return cls(
                calls,
                None if owed is None else Priority(owed),
                None if calm is None else float(calm),
            )
        except (AttributeError, KeyError, OverflowError, TypeError, ValueError) as fault:
            raise CavewatchError(f"what notices told cannot be read: {fault}") from fault


@dataclass(frozen=True, slots=True)
class Message:
    """What is to be told now."""

    kind: Kind
    alarms: tuple[Alarm, ...] = ()
    """Those that it is about, the highest priority first; when all is well, those that stand
    nevertheless: of priorities that this notice does not tell, or out of service."""
    calls: Mapping[str, Call] = field(default_factory=dict)
    """The calls that are told with it, by key of the alarm."""


def step(
    notice: Notice, ledger: Ledger, alarms: Iterable[Alarm], at: float, minute: int | None
) -> tuple[Ledger, Message | None]:
    """Look at the alarms once.

    Args:
        notice: whom to tell of what.
        ledger: as the last step left it.
        alarms: all that are not in NORM.
        at: now [s since 1970 UTC].
        minute: of the local day; None if the clock is not sure.

    Returns:
        The ledger from now on, and what is to be told; None for nothing.
    """
    others = [alarm for alarm in alarms if alarm.key != notice.failed]
    wanted = {alarm.key: alarm for alarm in others if alarm.priority in notice.priorities}
    calls: dict[str, Call] = {}
    for key, alarm in wanted.items():
        known = ledger.calls.get(key)
        if alarm.state not in CALLING or (known is None and alarm.state is State.RTNUN):
            continue
        call = (known or Call(alarm.called)).no_later(at)
        due = call.due or (alarm.state is not State.RTNUN and at - call.since >= notice.after)
        calls[key] = replace(call, due=due)
    calm = None
    if ledger.owed is not None and not any(_stands(a, returning=True) for a in wanted.values()):
        calm = at if ledger.calm is None else min(ledger.calm, at)
    ledger = Ledger(calls, ledger.owed, calm)

    def now(key: str, call: Call) -> bool:
        if not call.due or not notice.may_call(wanted[key].priority, minute):
            return False
        if call.told is None:
            return True
        gone = wanted[key].state is State.RTNUN
        return notice.repeat > 0 and not gone and at - call.told >= notice.repeat

    telling = {key: call for key, call in calls.items() if now(key, call)}
    if telling:
        fresh = any(call.told is None for call in telling.values())
        about = sorted((wanted[key] for key in telling), key=_urgency)
        return ledger, Message(Kind.ALARM if fresh else Kind.AGAIN, tuple(about), telling)
    if ledger.owed is None or calm is None or at - calm < CALM:
        return ledger, None
    if not notice.may_call(ledger.owed, minute):
        return ledger, None
    beside = sorted((alarm for alarm in others if _stands(alarm)), key=_urgency)
    return ledger, Message(Kind.WELL, tuple(beside))


def sent(ledger: Ledger, message: Message, at: float) -> Ledger:
    """The ledger once a message has gone out.

    Args:
        ledger: as it is by now; it may have moved on since the message was proposed.
        message: the one that went out.
        at: now [s since 1970 UTC].
    """
    if message.kind is Kind.WELL:
        return Ledger({key: call for key, call in ledger.calls.items() if call.told is None})
    calls = {
        key: replace(call, told=at)
        if key in message.calls and message.calls[key].since == call.since
        else call
        for key, call in ledger.calls.items()
    }
    # What had passed by then needs no calling off: the message says so.
    told = [alarm.priority for alarm in message.alarms if _stands(alarm)]
    owed = max((ledger.owed, *told), key=_weight)
    return Ledger(calls, owed, ledger.calm)


def _stands(alarm: Alarm, returning: bool = False) -> bool:
    """Whether its cause is there or it is held; where it is suppressed, what is beneath counts.

    Args:
        alarm: any.
        returning: leave out those that are out of service, which do not come back by themselves.
    """
    if returning and alarm.beneath is not None and alarm.state not in _TIMED:
        return False
    return (alarm.beneath or alarm.state) in _STANDING


def _weight(priority: Priority | None) -> int:
    return -1 if priority is None else _WEIGHT.index(priority)


def _urgency(alarm: Alarm) -> tuple[int, float, str]:
    return -_weight(alarm.priority), alarm.since, alarm.key
