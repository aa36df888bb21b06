"""What a wheel in salt stands in: the temperature there and, in a tub, the brine."""

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

    def changes(self, start: float, end: float) -> list[float]:
        """Times inside the stretch at which the brine's strength changes."""
        return [at for at, _ in self.strengths if start < at < end]

    def strength(self, at: float) -> float | None:
        """Brine strength at that time [% w/w]; None without brine."""
        strength = self.strengths[0][1] if self.strengths else None
        for since, value in self.strengths:
            if since <= at:
                strength = value
        return strength

    def wet(self, at: float) -> float | None:
        """Salt in moisture that brine holds a wet face at [g per 100 g water]."""
        strength = self.strength(at)
        return None if strength is None else PARTITION * in_water(min(strength, BARRIER))


def under_salt() -> float:
    """Salt in moisture that dry salt holds a face at [g per 100 g water].

    Saturated brine at 12 degC (it changes by 0.4 % from 5 to 20 degC).
    """
    return PARTITION * in_water(saturation(12.0))
