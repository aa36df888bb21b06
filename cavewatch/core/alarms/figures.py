"""Figures that show whether the alarms are well set: how many, how often, which of them.

What they are called and what is good comes from ANSI/ISA-18.2 and IEC 62682,
clause 16 (monitoring and assessment), as an engineer's summary of its compliance
metrics gives them; the standard itself was not read. Its figures are for one
operator and at least 30 days. That a dairy of one person should see fewer than
five alarms in a week is judgement.
"""

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from cavewatch.core.alarms.alarm import Priority, Transition
from cavewatch.core.alarms.limits import Side
from cavewatch.core.alarms.table import State
from cavewatch.core.reading import Quantity

HOUR = 3600.0
DAY = 24 * HOUR


@dataclass(frozen=True, slots=True)
class Nuisance:
    """From where on an alarm counts as a nuisance; sources differ, so it can be set."""

    chatters: int = 3
    """An alarm that is raised so often within `chatter_window` chatters."""
    chatter_window: float = 60.0
    """[s]"""
    fleeting: float = 10.0
    """An alarm that clears within this time, unseen and not chattering, is fleeting [s]."""
    stale: float = DAY
    """An alarm that stands for longer is stale [s]."""
    flood_above: int = 10
    """A flood begins when more alarms than this are raised within `flood_window`."""
    flood_below: int = 5
    """It ends when there are fewer than this."""
    flood_window: float = 600.0
    """[s]"""


USUAL = Nuisance()
STANDING = (State.UNACK, State.ACKED, State.LATCHED_UNACK, State.LATCHED_ACKED)
"""States in which an alarm stands: abnormal, or held since it was, and not suppressed."""
FORECAST = " forecast"
"""What the key of a predicted crossing adds to that of the limit it is about."""


@dataclass(frozen=True, slots=True)
class AlarmFigures:
    """How the alarms of one span behaved."""

    days: float
    """Length of the span [day]."""
    raised: tuple[tuple[str, int], ...]
    """Key of each alarm that was raised, and how often; the most frequent first."""
    priorities: tuple[tuple[Priority, int], ...]
    """How many were raised of each priority."""
    busiest: int
    """Most raised within any ten minutes (`Nuisance.flood_window`)."""
    flooded: float
    """Time in flood [s]."""
    chattering: tuple[str, ...]
    """Keys of the alarms that chattered."""
    fleeting: tuple[str, ...]
    """Keys of the alarms that were fleeting."""
    stale: tuple[str, ...]
    """Keys of the alarms that stood too long."""
    standing: tuple[str, ...]
    """Keys of the alarms that stand at the end."""

    @property
    def total(self) -> int:
        """How many were raised."""
        return sum(times for _, times in self.raised)

    @property
    def per_day(self) -> float:
        """Raised per day."""
        return self.total / self.days if self.days else 0.0


@dataclass(frozen=True, slots=True)
class ForecastFigures:
    """How good the predicted crossings were."""

    hits: int
    """Followed by the limit's own alarm."""
    false_calls: int
    """Not followed by it."""
    missed: int
    """Limit alarms of temperature and humidity that nothing foretold."""
    lead: tuple[float, ...]
    """For each hit, time from the call to the limit's own alarm [s]."""


def alarm_figures(
    transitions: Iterable[Transition], since: float, until: float, nuisance: Nuisance = USUAL
) -> AlarmFigures:
    """The figures of the alarms raised within a span.

    Args:
        transitions: by time; those from before the span tell what stood when it began.
        since: where the span begins [s since 1970 UTC].
        until: where it ends [s since 1970 UTC].
        nuisance: what counts as one.
    """
    known = [t for t in transitions if t.at < until]
    raised = [t for t in known if t.at >= since and t.raises]
    times = [t.at for t in raised]
    stands = _stands(known, since, until)
    chattering = _chattering(raised, nuisance)
    return AlarmFigures(
        days=(until - since) / DAY,
        raised=tuple(Counter(t.alarm.key for t in raised).most_common()),
        priorities=tuple((p, sum(t.alarm.priority is p for t in raised)) for p in Priority),
        busiest=_busiest(times, nuisance.flood_window),
        flooded=_flooded(times, until, nuisance),
        chattering=chattering,
        fleeting=_fleeting(known, since, chattering, nuisance),
        stale=_keys(key for key, begun, ended in stands if ended - begun > nuisance.stale),
        standing=_keys(key for key, _, ended in stands if ended == until),
    )


def forecast_figures(
    transitions: Iterable[Transition], since: float, until: float, within: float
) -> ForecastFigures:
    """How many of the limit alarms raised within a span were foretold.

    Args:
        transitions: by time.
        since: where the span begins [s since 1970 UTC].
        until: where it ends [s since 1970 UTC].
        within: a limit alarm so long after a call still belongs to it [s]. Of several
            calls before one alarm the first counts for the lead, and none is false.
    """
    calls: dict[str, list[float]] = {}
    false_calls = missed = 0
    lead: list[float] = []
    for transition in transitions:
        key, at = transition.alarm.key, transition.at
        if not (since <= at < until and transition.raises):
            continue
        if key.endswith(FORECAST):
            calls.setdefault(key.removesuffix(FORECAST), []).append(at)
        elif _is_limit(key):
            waiting = calls.pop(key, [])
            fresh = [call for call in waiting if at - call <= within]
            false_calls += len(waiting) - len(fresh)
            if fresh:
                lead.append(at - fresh[0])
            else:
                missed += 1
    return ForecastFigures(
        len(lead), false_calls + sum(map(len, calls.values())), missed, tuple(lead)
    )


def _is_limit(key: str) -> bool:
    """Whether this is the key of a channel beyond an edge: 'lower cave.temperature high'."""
    channel, _, side = key.rpartition(" ")
    return side in tuple(Side) and channel.endswith(tuple(f".{q}" for q in Quantity))


def _stands(
    transitions: Sequence[Transition], since: float, until: float
) -> list[tuple[str, float, float]]:
    """Key, beginning and end of each stretch that an alarm stood, if it reached into the span."""
    begun: dict[str, float] = {}
    found = []
    for transition in transitions:
        key = transition.alarm.key
        if transition.alarm.state in STANDING:
            begun.setdefault(key, transition.at)
        elif key in begun:
            found.append((key, begun.pop(key), transition.at))
    found += [(key, at, until) for key, at in begun.items()]
    return [stand for stand in found if stand[2] > since]


def _chattering(raised: Sequence[Transition], nuisance: Nuisance) -> tuple[str, ...]:
    times: dict[str, list[float]] = {}
    for transition in raised:
        times.setdefault(transition.alarm.key, []).append(transition.at)
    return tuple(
        key
        for key, at in times.items()
        if _busiest(at, nuisance.chatter_window) >= nuisance.chatters
    )


def _fleeting(
    transitions: Sequence[Transition], since: float, chattering: Iterable[str], nuisance: Nuisance
) -> tuple[str, ...]:
    raised: dict[str, float] = {}
    found = []
    for transition in transitions:
        key = transition.alarm.key
        if transition.raises:
            raised[key] = transition.at
        elif (
            transition.alarm.state is State.RTNUN
            and transition.at >= since
            and transition.at - raised.get(key, -DAY) < nuisance.fleeting
            and key not in chattering
        ):
            found.append(key)
    return _keys(found)


def _busiest(times: Sequence[float], window: float) -> int:
    """The most of these times that lie within one window, its end left out."""
    return max((n - bisect_right(times, at - window) for n, at in enumerate(times, 1)), default=0)


def _flooded(times: Sequence[float], until: float, nuisance: Nuisance) -> float:
    """How long floods lasted in all [s]."""
    total, begun = 0.0, None
    for n, at in enumerate(times, 1):
        if (
            begun is not None
            and (end := times[n - 1 - nuisance.flood_below] + nuisance.flood_window) <= at
        ):
            total, begun = total + end - begun, None
        if (
            begun is None
            and n - bisect_right(times, at - nuisance.flood_window) > nuisance.flood_above
        ):
            begun = at
    if begun is not None:
        total += min(until, times[-nuisance.flood_below] + nuisance.flood_window) - begun
    return total


def _keys(found: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(found))
