"""A value that stands still for longer than this channel's ever does.

How long a sound sensor may show one value depends on its resolution and on the
place: some seconds in a lively cave, half a day for whole degrees in a tub. The
channel itself tells: the longest rest so far, several times over, is the
measure. Until it has been watched for a day, only a whole day of rest counts.
"""

from typing import NamedTuple

PATIENCE = 4.0
"""Times the longest rest so far; judgement."""
SHORTEST, LONGEST = 3 * 3600.0, 24 * 3600.0
"""Bounds of the measure [s]; judgement: a cave or tub that does not move by one step in a day is
no cave."""
LEARNING = 24 * 3600.0
"""A channel is watched for this long before its rests are a measure [s]."""
LAPSE = 2 * 3600.0
"""Equal values on both sides of a longer pause are no rest [s]."""


class Rests(NamedTuple):
    """How long a channel stood still before."""

    began: float
    """When it was first watched [s since 1970 UTC]."""
    longest: float = 0.0
    """The longest rest [s]; one that was taken for a fault counts too, so that a sensor wrongly
    suspected is given more patience the next time."""


def is_stuck(since: float, rests: Rests, at: float) -> bool:
    """True if a channel that stands still since then has done so for too long."""
    if since - rests.began < LEARNING:
        return at - since >= LONGEST
    return at - since >= min(max(SHORTEST, PATIENCE * rests.longest), LONGEST)
