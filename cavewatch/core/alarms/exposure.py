"""What a channel went through over a span: one curve held against its range.

Each value holds until the next one comes, but no longer than the age at which
the channel counts as silent; the rest of a gap is time that nobody watched. It
is neither inside nor outside, and it ends an excursion.
"""

import math
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from cavewatch.core.alarms.limits import Side
from cavewatch.core.ranges import Range
from cavewatch.core.reading import Channel

_Held = tuple[float, float, float]
"""When a value came [s since 1970 UTC], the value, and how long it held [s]."""


@dataclass(frozen=True, slots=True)
class Excursion:
    """An unbroken stretch beyond one edge."""

    side: Side
    """LOW or HIGH."""
    since: float
    """[s since 1970 UTC]"""
    seconds: float
    """How long it lasted [s]."""
    worst: float
    """The value farthest out, in the channel's unit."""


@dataclass(frozen=True, slots=True)
class Exposure:
    """One channel over one span."""

    channel: Channel
    low: float | None
    """The lowest value [the channel's unit]; None, as `mean` and `high`, where there was none."""
    mean: float | None
    """Weighted with the time for which each value held."""
    high: float | None
    """The highest value."""
    inside: float
    """Time in range [s]; an edge that nobody sets is never passed."""
    above: float
    """Time above the range [s]."""
    below: float
    """Time below the range [s]."""
    unwatched: float
    """Time without a value that still counts [s]."""
    longest: Excursion | None
    """The longest excursion; None if there was none."""
    ranged: bool
    """Whether anybody set an edge in the span."""

    @property
    def watched(self) -> float:
        """Time for which there was a value [s]."""
        return self.inside + self.above + self.below


def exposure(
    channel: Channel,
    series: Iterable[tuple[float, float]],
    ranges: Sequence[tuple[float, Range]],
    since: float,
    until: float,
    holds: float,
) -> Exposure:
    """The figures of a channel.

    Args:
        channel: whose.
        series: time [s since 1970 UTC] and value, times never going back; NaN is
            a sensor that said that it had no value.
        ranges: each with the time from which it holds, soonest first; a value is
            held against the range of its own moment.
        since: where the span begins [s since 1970 UTC].
        until: where it ends; what lies outside the span is left out.
        holds: how long a value counts if none follows [s].
    """
    held = list(_held(series, since, until, holds))
    out = list(_excursions(held, ranges))
    watched = sum(lasts for _, _, lasts in held)
    above = sum(excursion.seconds for excursion in out if excursion.side is Side.HIGH)
    below = sum(excursion.seconds for excursion in out if excursion.side is Side.LOW)
    values = [value for _, value, _ in held]
    weighted = math.fsum(value * lasts for _, value, lasts in held)
    return Exposure(
        channel,
        low=min(values, default=None),
        mean=weighted / watched if watched else None,
        high=max(values, default=None),
        inside=max(0.0, watched - above - below),
        above=above,
        below=below,
        unwatched=max(0.0, until - since - watched),
        longest=max(out, key=lambda excursion: excursion.seconds, default=None),
        ranged=any(limits.low or limits.high for _, limits in ranges),
    )


def _held(
    series: Iterable[tuple[float, float]], since: float, until: float, holds: float
) -> Iterator[_Held]:
    """Each value that is in force within the span."""
    for (at, value), (following, _) in pairwise((*series, (until, math.nan))):
        if not math.isnan(value):
            begin = at if at > since else since
            end = following if following - at < holds else at + holds
            end = end if end < until else until
            if end > begin:
                yield begin, value, end - begin


def _excursions(
    held: Iterable[_Held], ranges: Sequence[tuple[float, Range]]
) -> Iterator[Excursion]:
    """The unbroken stretches beyond an edge, in order."""
    ahead = deque(ranges)
    low, high = -math.inf, math.inf
    side: Side | None = None
    begun = ended = worst = 0.0
    for at, value, lasts in held:
        while ahead and ahead[0][0] <= at:
            low, high = _edges(ahead.popleft()[1])
        now = Side.HIGH if value > high else Side.LOW if value < low else None
        if side is not None:
            if now is side and at <= ended:
                worst = max(worst, value) if side is Side.HIGH else min(worst, value)
                ended = at + lasts
                continue
            yield Excursion(side, begun, ended - begun, worst)
        side, begun, ended, worst = now, at, at + lasts, value
    if side is not None:
        yield Excursion(side, begun, ended - begun, worst)


def _edges(limits: Range) -> tuple[float, float]:
    """Lower and upper edge; infinite where nobody sets one."""
    low = -math.inf if limits.low is None else limits.low.value
    return low, math.inf if limits.high is None else limits.high.value
