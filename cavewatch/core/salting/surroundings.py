"""What a wheel in salt stands in: the temperature there and, in a tub, the brine."""

import math
from bisect import bisect_right
from dataclasses import dataclass

from cavewatch.core.brine.strength import in_water, saturation
from cavewatch.core.salting.clock import WarmthRecord

PARTITION = 0.85
"""Salt in moisture just inside the paste over salt in the water outside [-]. From
memory; short brining times cannot tell it from the diffusivity."""

BARRIER = 22.0
"""Above about this strength the surface dries into a barrier and uptake no longer
rises (a Sicilian study found it faster in 18 % than in saturated brine); stronger
brine counts as this, and the countdown says so [% w/w]."""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """One place as the salting core sees it."""

    warmth: WarmthRecord
    strengths: tuple[tuple[float, float], ...] = ()
    """In a tub: brine strength from each time on [s since 1970 UTC, % w/w], rising in
    time; the first holds before. Empty elsewhere."""
    partition: float = PARTITION
    barrier: float = BARRIER
    """Stronger brine counts as this [% w/w]."""

    @property
    def brined(self) -> bool:
        """Whether this is a tub."""
        return bool(self.strengths)

    def next_change(self, after: float) -> float:
        """When the brine's strength next changes [s since 1970 UTC]; infinite if it does not."""
        index = bisect_right(self.strengths, after, key=_since)
        return self.strengths[index][0] if index < len(self.strengths) else math.inf

    def strength(self, at: float) -> float | None:
        """Brine strength at that time [% w/w]; None without brine."""
        if not self.strengths:
            return None
        return self.strengths[max(bisect_right(self.strengths, at, key=_since) - 1, 0)][1]

    def mean_strength(self, start: float, end: float) -> float | None:
        """Mean brine strength from start to a later end [% w/w]; None without brine."""
        if not self.strengths:
            return None
        total, at = 0.0, start
        while at < end:
            until = min(self.next_change(at), end)
            total += (self.strength(at) or 0.0) * (until - at)
            at = until
        return total / (end - start)

    def wet(self, at: float) -> float | None:
        """Salt in moisture that brine holds a wet face at [g per 100 g water]."""
        strength = self.strength(at)
        return None if strength is None else self.partition * in_water(min(strength, self.barrier))

    def under_salt(self) -> float:
        """Salt in moisture that dry salt holds a face at [g per 100 g water].

        Saturated brine at 12 degC (it changes by 0.4 % from 5 to 20 degC).
        """
        return self.partition * in_water(saturation(12.0))


def _since(step: tuple[float, float]) -> float:
    return step[0]
