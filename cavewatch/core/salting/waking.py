"""Fitting a plan into waking hours: what falls in the night is moved to its nearest edge."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import count

from cavewatch.core.errors import CavewatchError

GRID = 300.0
"""Times are moved by steps of this [s]."""
DAY = 86400.0
HOUR = 3600.0
APART = 1800.0
"""Between two touches, and from them to going in and lift, at least [s]; judgement."""
_FARTHEST = int(DAY / GRID)

OfDay = Callable[[float], float]
"""Seconds on the wall clock since midnight, at an instant [s since 1970 UTC]."""


@dataclass(frozen=True, slots=True)
class Waking:
    """When somebody is up."""

    wakes: float
    """[s since local midnight]"""
    sleeps: float
    """[s since local midnight]; before `wakes` for who works through the night, a day after
    it for who is always there."""
    of_day: OfDay

    def __post_init__(self) -> None:
        if self.sleeps - self.wakes != DAY and (self.sleeps - self.wakes) % DAY < HOUR:
            raise CavewatchError(
                "somebody must be up for an hour or more; write it like 06:00-22:00"
            )

    def awake(self, at: float) -> bool:
        """Whether somebody is up at an instant [s since 1970 UTC]."""
        passed = self.of_day(at)
        if self.wakes <= self.sleeps:
            return self.wakes <= passed <= self.sleeps
        return passed >= self.wakes or passed <= self.sleeps

    def nearest(self, at: float, after: float, before: float) -> float | None:
        """The waking instant nearest to one, between two others; None if there is none.

        On whole steps of GRID, within a day to either side; of two alike the earlier.
        """
        at = round(at / GRID) * GRID
        for step in range(_FARTHEST):
            for moved in (at - step * GRID, at + step * GRID):
                if after <= moved <= before and self.awake(moved):
                    return moved
        return None


@dataclass(frozen=True, slots=True)
class Timetable:
    """A salting on the wall clock, times in s since 1970 UTC."""

    in_at: float
    touches: tuple[float, ...]
    """Turns, or coats after the first."""
    lift: float
    dropped: int
    """Touches for which no waking hour was left."""


def forwards(
    in_at: float,
    touches: Sequence[float],
    lift: float,
    waking: Waking,
    out_by: float = math.inf,
) -> Timetable:
    """The timetable of a wheel that goes in at an instant.

    Args:
        in_at: [s since 1970 UTC]
        touches: as is best, after the going in [s].
        lift: the same.
        waking: when somebody is up.
        out_by: when it must be out [s since 1970 UTC].

    Raises:
        CavewatchError: if nobody is up between going in and `out_by`.
    """
    wanted = min(in_at + lift, out_by)
    out = waking.nearest(wanted, in_at + APART, out_by)
    if out is None:
        raise CavewatchError("nobody is up between going in and the time it must be out")
    found: list[float] = []
    for touch in touches:
        after = (found[-1] if found else in_at) + APART
        moved = waking.nearest(in_at + touch, after, out - APART)
        if moved is not None:
            found.append(moved)
    return Timetable(in_at, tuple(found), out, len(touches) - len(found))


def backwards(
    out_by: float, touches: Sequence[float], lift: float, waking: Waking, not_before: float
) -> Timetable:
    """The timetable of a wheel that is out at an instant, and goes in as late as fits.

    Of the goings in of one day the one that moves turns and lift least.

    Args:
        out_by: when it must be out [s since 1970 UTC].
        touches: as is best, after the going in [s].
        lift: the same.
        waking: when somebody is up.
        not_before: it cannot go in before this [s since 1970 UTC].
    """
    best: tuple[float, Timetable] | None = None
    latest = math.floor((out_by - lift) / GRID) * GRID
    for step in count():
        in_at = latest - step * GRID
        if step >= _FARTHEST or (in_at < not_before and best):
            break
        in_at = max(in_at, not_before)
        if not waking.awake(in_at):
            if in_at == not_before:
                break
            continue
        table = forwards(in_at, touches, lift, waking, out_by)
        moved = abs(table.lift - in_at - lift) + sum(
            abs(at - in_at - touch) for at, touch in zip(table.touches, touches, strict=False)
        )
        moved += table.dropped * DAY
        if best is None or moved < best[0]:
            best = moved, table
        if moved == 0 or in_at == not_before:
            break
    if best is None:
        # Nobody is up just now: it goes in as soon as somebody is.
        in_at = waking.nearest(not_before, not_before, out_by - APART) or not_before
        return forwards(in_at, touches, lift, waking, out_by)
    return best[1]
