"""A reading of a brine as people type it: what the instrument showed, and which it was."""

import re
from dataclasses import dataclass

from cavewatch.core.brine.hydrometer import Scale
from cavewatch.units.amount import mass, split, tidied
from cavewatch.units.brine import scale
from cavewatch.units.errors import UnitError, quoted

_EXAMPLE = (
    "1.151 SG, 20 Be, 20 Be Gerlach or 80 salometer (hydrometer), 22.7 Bx (refractometer) or "
    "50 g dry 10 g (a sample weighed and dried)"
)


@dataclass(frozen=True, slots=True)
class HydrometerReading:
    """What a hydrometer showed."""

    scale: Scale
    value: float
    """In the unit of the scale."""


@dataclass(frozen=True, slots=True)
class RefractometerReading:
    """What a refractometer for sugar showed."""

    brix: float
    """[degrees Brix]"""


@dataclass(frozen=True, slots=True)
class DriedReading:
    """A sample of brine, weighed before and after it was dried out."""

    sample: float
    """[g]"""
    dry: float
    """What was left [g]."""


BrineReading = HydrometerReading | RefractometerReading | DriedReading


def brine_reading(text: str) -> BrineReading:
    """A reading from '1.151 SG', '20 Be', '80 salometer', '22.7 Bx' or '50 g dry 10 g'.

    Raises:
        UnitError: for anything else.
    """
    dried = re.fullmatch(r"(.+?)\s*,?\s+(?:dry|dried|dries)(?:\s+to)?\s+(.+)", tidied(text))
    if dried:
        return DriedReading(mass(dried[1]), mass(dried[2]))
    number, unit = split(text, _EXAMPLE)
    if re.fullmatch(r"(?:°\s*|degrees?\s+)?(?:bx|brix)", unit):
        return RefractometerReading(float(number))
    found = scale(unit)
    if found is None:
        raise UnitError(f"{quoted(text)} names no instrument; write {_EXAMPLE}")
    return HydrometerReading(found, float(number))
