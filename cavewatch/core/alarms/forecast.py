"""A predicted crossing: when a channel will leave its range if it goes on like this.

A straight line is fitted to the last two hours. It is trusted only where it
explains nearly all of what was seen (a step, such as a door, never fits better
than R^2 = 0.75), where its slope is sure, where the last half hour goes its way
too, and where the crossing lies ahead by no more than the line is long. The
figures of its success over a week are in the report of a replay. Judgement.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from cavewatch.core.alarms.limits import Side, Tuning, edge_of
from cavewatch.core.alarms.means import BLOCK, HALF, Block
from cavewatch.core.countdown import Span
from cavewatch.core.ranges import Range

HORIZON = 7200.0
"""Length of the line, and how far ahead a crossing is foretold at most [s]."""
BLOCKS = int(HORIZON / BLOCK)
FIT = 0.9
"""The least R^2 of a line that is trusted [-]."""
SURE = 8.0
"""The least ratio of a trusted slope to its standard error [-]; neighbouring means are
not independent, so that it must be well above the usual 2."""
LATEST = 6
"""Blocks of the last half hour."""


@dataclass(frozen=True, slots=True)
class Line:
    """A least-squares line through block means."""

    at: float
    """Where `level` holds: the middle of the blocks' times [s since 1970 UTC]."""
    level: float
    """[the channel's unit]"""
    slope: float
    """[the channel's unit per s]"""
    slope_error: float
    """Its standard error."""
    scatter: float
    """Standard deviation of the means about the line [the channel's unit]."""
    fit: float
    """R^2 [-]."""


def line(blocks: Sequence[Block]) -> Line:
    """The line through three blocks or more."""
    n = len(blocks)
    at = sum(b.at for b in blocks) / n + HALF
    level = sum(b.mean for b in blocks) / n
    times = [b.at + HALF - at for b in blocks]
    spread = sum(t * t for t in times)
    slope = sum(t * (b.mean - level) for t, b in zip(times, blocks, strict=True)) / spread
    total = sum((b.mean - level) ** 2 for b in blocks)
    left = max(0.0, total - slope * slope * spread)
    scatter = math.sqrt(left / (n - 2))
    fit = 1.0 - left / total if total > 0 else 0.0
    return Line(at, level, slope, scatter / math.sqrt(spread), scatter, fit)


def crossing(
    blocks: Sequence[Block], now: float, limits: Range, tuned: Tuning
) -> tuple[Side, Span] | None:
    """Which edge will be passed and in what time [s], or None where nothing trustworthy says so.

    Args:
        blocks: of one channel.
        now: the end of the last block [s since 1970 UTC].
        limits: the range now.
        tuned: how sensitive.
    """
    if not tuned.forecast or limits.clash:
        return None
    seen = [b for b in blocks[-BLOCKS:] if b.at >= now - HORIZON]
    if len(seen) < BLOCKS or any(b.alarmed for b in seen):
        return None
    side = Side.LOW if seen[-1].mean < seen[0].mean else Side.HIGH
    edge = edge_of(limits, side, tuned)
    # Cheap questions first: most blocks of a quiet cave end here.
    if edge is None or abs(edge.value - seen[-1].mean) > 2 * abs(seen[-1].mean - seen[0].mean):
        return None
    found = line(seen)
    if found.fit < FIT or abs(found.slope) < SURE * found.slope_error:
        return None
    if not 0.5 <= line(seen[-LATEST:]).slope / found.slope <= 2.0:
        return None
    ahead = _ahead(found, edge.value, now)
    return None if ahead is None else (side, ahead)


NOW = Span(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Foretold:
    """What is foretold of a channel, once several blocks in a row have said the same."""

    side: Side | None = None
    """The edge; None where nothing is foretold."""
    left: Span = NOW
    """Time to it as last worked out [s]."""
    other: Side | None = None
    """What the newest blocks say, where that differs."""
    times: int = 0
    """How many of them in a row."""


AGREE = 3
"""Blocks in a row that must say the same before it is told, or taken back."""


def foretold(known: Foretold, found: tuple[Side, Span] | None) -> Foretold:
    """What is foretold after one more block, which gave `found`."""
    side, left = (None, known.left) if found is None else found
    if side is known.side:
        return Foretold(side, left)
    times = known.times + 1 if known.times and side is known.other else 1
    if times >= AGREE:
        return Foretold(side, left)
    return Foretold(known.side, known.left, side, times)


def _ahead(found: Line, edge: float, now: float) -> Span | None:
    """The time to the crossing, twice its standard error either way; None if it is not soon."""
    left = (edge - found.level) / found.slope + found.at - now
    if not 0.0 < left <= HORIZON:
        return None
    reach = left + now - found.at
    off = 2 * math.hypot(found.scatter, found.slope_error * reach) / abs(found.slope)
    return Span(max(0.0, left - off), left, left + off) if off <= max(left, BLOCK) else None
