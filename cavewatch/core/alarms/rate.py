"""Rate of change: how fast a channel goes where it should not, over a whole hour.

The slope is the median of those of all pairs of blocks (Theil and Sen), so that a
door that is opened, or a compressor's swing, does not count as a change.
"""

from collections.abc import Sequence
from statistics import median

from cavewatch.core.alarms.limits import Tuning
from cavewatch.core.alarms.means import BLOCK, Block
from cavewatch.core.ranges import Range

HOUR = 3600.0
BLOCKS = int(HOUR / BLOCK)


def slope(blocks: Sequence[Block]) -> float:
    """The median slope of two blocks or more [the channel's unit per hour]."""
    return HOUR * median(
        (later.mean - sooner.mean) / (later.at - sooner.at)
        for n, later in enumerate(blocks)
        for sooner in blocks[:n]
    )


def too_fast(
    blocks: Sequence[Block], until: float, limits: Range, tuned: Tuning, was: bool
) -> float | None:
    """The rate, if it is too high [the channel's unit per hour, signed]; None if it is not.

    Args:
        blocks: of one channel.
        until: where the hour ends, which is the end of a block [s since 1970 UTC].
        limits: the range; a value on its way back to the middle is no cause for alarm.
        tuned: how sensitive.
        was: whether this gave a rate last; it then ends at half the limit.
    """
    hour = [b for b in blocks[-BLOCKS:] if b.at >= until - HOUR]
    if tuned.rate is None or len(hour) < BLOCKS or any(b.alarmed for b in hour):
        return None
    bound = tuned.rate / 2 if was else tuned.rate
    # Most of the pairs cannot be steep where the ends are close together.
    if max(b.mean for b in hour) - min(b.mean for b in hour) < bound / 2:
        return None
    found = slope(hour)
    return found if abs(found) >= bound and _outward(hour[-1].mean, found, limits) else None


def _outward(value: float, moving: float, limits: Range) -> bool:
    """Whether a value leaves the middle of its range; of half a range, whether it nears the edge.

    Without any edge every way leads outward.
    """
    if limits.low is None or limits.high is None:
        if limits.low is limits.high:
            return True
        return moving < 0 if limits.high is None else moving > 0
    return (value - (limits.low.value + limits.high.value) / 2) * moving > 0
