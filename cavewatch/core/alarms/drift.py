"""Slow drift: the time-weighted mean of 24 h held against the range.

A cave that swings about an edge spends half its time beyond it, and yet no single
excursion lasts as long as the on-delay. The mean sees that. It says nothing while
a limit alarm tells the same, nor of a day that is out only for what is over: the
last two hours must be out as well, and free of limit alarms. Judgement.
"""

from collections.abc import Sequence

from cavewatch.core.alarms.limits import Side, Tuning, edge_of
from cavewatch.core.alarms.means import BLOCK, Block, mean
from cavewatch.core.ranges import Range

DAY = 86400.0
LATELY = 7200.0
"""[s]"""
RECENT = int(LATELY / BLOCK)


def drifted(
    blocks: Sequence[Block], until: float, limits: Range, tuned: Tuning, was: Side | None
) -> tuple[Side, float] | None:
    """The edge beyond which the mean of 24 h lies, with that mean; None if it lies inside.

    Args:
        blocks: of one channel, at least those of the last day.
        until: the day's end, which is that of a block [s since 1970 UTC].
        limits: the range now.
        tuned: how sensitive.
        was: what this gave last; a mean that was out is in again by the deadband only.
    """
    if not tuned.drift or limits.clash:
        return None
    recent = [b for b in blocks[-RECENT:] if b.at >= until - LATELY]
    if any(b.alarmed for b in recent):
        return None
    lately = mean(recent, until - LATELY, until)
    if lately is None:
        return None
    for side in (Side.LOW, Side.HIGH):
        edge = edge_of(limits, side, tuned)
        if edge is None:
            continue
        bound = edge.value
        if side is was:
            bound += tuned.deadband if side.below else -tuned.deadband
        if lately < bound if side.below else lately > bound:
            day = mean(blocks, until - DAY, until)
            if day is not None and (day < bound if side.below else day > bound):
                return side, day
    return None
