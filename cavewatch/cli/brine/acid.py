"""Acid for fresh and used brine: how it is asked for and what is said of it."""

from dataclasses import dataclass

from cavewatch import units
from cavewatch.core.brine.acid import ONLY_A_METER, WATER_ALKALINITY, Acid, dose
from cavewatch.core.brine.scales import LITRE_OF_WATER
from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError
from cavewatch.units import Display

STRONG = 10.0
"""Acid in a product from which it burns [% w/w]; from memory, for acetic acid in vinegar."""
STRONG_CAUTION = "strong acid burns skin and eyes: goggles and gloves on, pour it into the brine"


@dataclass(frozen=True, slots=True)
class AcidWanted:
    """A pH that the brine shall come near, and what brings it there."""

    ph: float
    acid: Acid
    alkalinity: Span
    """Of the water [mmol/L]."""

    def grams(self, water: float, now: float | None = None) -> Span:
        """Product for this much water [g], fresh or soured before to a pH [g]."""
        return dose(self.acid, self.ph, self.alkalinity, water / LITRE_OF_WATER, now)


def acid_wanted(acid: str | None, ph: str | None, alkalinity: str | None) -> AcidWanted | None:
    """From the options --acid, --ph and --alkalinity; None if none was given.

    Raises:
        CavewatchError: for one without the other, and for what none can be.
    """
    if acid is None and ph is None and alkalinity is None:
        return None
    if acid is None or ph is None:
        raise CavewatchError("acid takes two options: --acid 'vinegar 5 %' and --ph 5.2")
    return AcidWanted(
        units.ph(ph),
        units.acid(acid),
        units.alkalinity(alkalinity) if alkalinity else WATER_ALKALINITY,
    )


def acid_words(grams: Span, wanted: AcidWanted, display: Display) -> str:
    """So much of a product, and what for."""
    return f"about {display.about(grams)} of {wanted.acid.name}, for pH {wanted.ph:g}"


def acid_cautions(wanted: AcidWanted) -> tuple[str, ...]:
    """What to mind with it."""
    strong = wanted.acid.content >= STRONG
    return (f"acid: {ONLY_A_METER}", *((STRONG_CAUTION,) if strong else ()))
