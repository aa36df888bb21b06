"""What follows from the strength of a brine: freezing point, water activity, every scale.

Sources: freezing points of a handbook table (CRC's concentrative properties, as copied)
and the eutectic of the Salt Institute, by a fit; water activity by Pitzer's equation
(Pitzer 1973; temperature slopes of Silvester & Pitzer 1978), coefficients from memory,
held against PHREEQC's Pitzer model in the tests.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from cavewatch.core.brine.density import density
from cavewatch.core.brine.scales import to_baume, to_grams_per_litre, to_salometer, to_sg
from cavewatch.core.brine.strength import STRONGEST, in_water, saturation, share_of_saturation
from cavewatch.core.errors import OutOfRangeError, within

EUTECTIC = 23.31
"""Strength at which brine freezes last, at -21.12 degC [% w/w]; beyond it salt settles
before ice forms. Source: Salt Institute, physical properties."""

_SALT_MOLE, _WATER_MOLE = 58.443, 18.0153
"""Molar masses of salt and water [g/mol]."""


def freezing_point(strength: float) -> float:
    """Temperature at which ice forms in brine of 0 to 23.31 % w/w [degC].

    Polynomial through the handbook's points, within 0.01 K of each; Lange's table runs up
    to 0.08 K warmer below 10 %.
    """
    w = within("strength", strength, 0.0, EUTECTIC, "% w/w")
    return -w * (0.581577 + w * (4.20532e-3 + w * (2.593411e-4 + w * 6.756557e-6)))


def water_activity(strength: float, temperature: float) -> float:
    """Share of the vapour pressure of water that is left over brine [0 to 1]; 0 to 40 degC.

    Within 0.002 of PHREEQC's Pitzer model from 5 to 25 degC, and 0.0035 of Greenspan 1977
    for saturated salt from 0 to 40 degC.
    """
    within("strength", strength, 0.0, STRONGEST, "% w/w")
    from_25 = within("temperature", temperature, 0.0, 40.0, "degC") - 25.0
    m = 10.0 * in_water(strength) / _SALT_MOLE
    root = math.sqrt(m)
    debye_huckel = 0.3915 + 6.6e-4 * from_25
    b0 = 0.0765 + 7.159e-4 * from_25
    b1 = 0.2664 + 7.005e-4 * from_25
    c = 0.00127 - 1.054e-4 * from_25
    osmotic = (
        1.0
        - debye_huckel * root / (1.0 + 1.2 * root)
        + m * (b0 + b1 * math.exp(-2.0 * root))
        + m**2 * c
    )
    return math.exp(-osmotic * 2.0 * m * _WATER_MOLE / 1000.0)


@dataclass(frozen=True, slots=True)
class Properties:
    """A brine at a temperature, on every scale; None where a scale or a fit has ended."""

    strength_percent: float
    """Salt in the brine [% w/w]."""
    saturation_percent: float
    """Salt in saturated brine of this temperature [% w/w]."""
    share_of_saturation_percent: float
    """Its strength over that [%]."""
    density_kg_m3: float
    sg_60_60: float
    """Specific gravity at 60 degF over water at 60 degF."""
    baume: float
    """Degrees at 60 degF, modulus 145."""
    salometer: float | None
    """Degrees at 60 degF."""
    grams_per_litre: float
    """Salt in a litre of the brine at this temperature [g/L]."""
    freezing_point_c: float | None
    """None beyond the eutectic."""
    water_activity: float | None
    """None outside 0 to 40 degC."""
    notes: tuple[str, ...]
    """Why a field is None, one clause each."""


def properties(strength: float, temperature: float) -> Properties:
    """Everything about a brine of this strength [% w/w] at this temperature [0 to 60 degC].

    Raises:
        OutOfRangeError: for more salt than dissolves there, or than the density formula covers.
    """
    notes: list[str] = []

    def or_none(get: Callable[[], float], what: str) -> float | None:
        try:
            return get()
        except OutOfRangeError as fault:
            notes.append(f"no {what}: {fault}")
            return None

    return Properties(
        strength_percent=strength,
        saturation_percent=saturation(temperature),
        share_of_saturation_percent=share_of_saturation(strength, temperature),
        density_kg_m3=density(strength, temperature),
        sg_60_60=to_sg(strength),
        baume=to_baume(strength),
        salometer=or_none(lambda: to_salometer(strength), "degrees salometer"),
        grams_per_litre=to_grams_per_litre(strength, temperature),
        freezing_point_c=or_none(lambda: freezing_point(strength), "freezing point"),
        water_activity=or_none(lambda: water_activity(strength, temperature), "water activity"),
        notes=tuple(notes),
    )
