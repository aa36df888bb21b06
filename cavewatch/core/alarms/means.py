"""Time-weighted means of a channel in blocks of five minutes: what trends are read from.

Each value holds until the next one comes, but no longer than the age at which
the channel counts as silent. Blocks begin at whole multiples of their length, so
that they do not depend on how readings arrive.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

BLOCK = 300.0
"""Length of a block [s]."""
HALF = BLOCK / 2


@dataclass(frozen=True, slots=True)
class Block:
    """Five minutes of one channel."""

    at: float
    """Where it begins [s since 1970 UTC]."""
    mean: float
    """Weighted with the time for which each value held."""
    seconds: float
    """Time for which there was a value [s]."""
    alarmed: bool = False
    """Whether a limit alarm of the channel stood in it."""


def block(
    series: Sequence[tuple[float, float]], at: float, holds: float, alarmed: bool = False
) -> Block | None:
    """The block that begins at `at`; None where less than half of it is known.

    Args:
        series: time and value, by time, with the last value from before the block.
        at: where it begins [s since 1970 UTC].
        holds: how long a value counts if none follows [s].
        alarmed: see Block.alarmed.
    """
    end, total, seconds = at + BLOCK, 0.0, 0.0
    following = [since for since, _ in series[1:]] + [end]
    for (since, value), until in zip(series, following, strict=True):
        lasts = until - since
        if since < at or until > end or lasts > holds:
            lasts = min(until, end, since + holds) - max(since, at)
        if lasts > 0:
            total += value * lasts
            seconds += lasts
    return Block(at, total / seconds, seconds, alarmed) if seconds >= HALF else None


def mean(blocks: Iterable[Block], since: float, until: float, known: float = 0.75) -> float | None:
    """The time-weighted mean of the blocks within a span; None if too little of it is known.

    Args:
        blocks: of one channel.
        since: where the span begins [s since 1970 UTC].
        until: where it ends.
        known: the part of it that must be [-].
    """
    inside = [b for b in blocks if since <= b.at and b.at + BLOCK <= until]
    seconds = sum(b.seconds for b in inside)
    if not inside or seconds < known * (until - since):
        return None
    return sum(b.mean * b.seconds for b in inside) / seconds
