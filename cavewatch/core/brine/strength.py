"""Brine strength: one number, % w/w (g of salt per 100 g of brine), and its other names.

Sources, named where used: Sparrow 2003 (saturation, coefficients as reprinted
in an open property package), Laliberte & Cooper 2004 (density; coefficients
from memory, held against tabulated densities in the tests), Kell 1975 (density
of water, coefficients from memory, held likewise).
"""

import math

from cavewatch.core.errors import within

SATURATED_AT_60F = 26.395
"""Strength of saturated brine at 60 degF [% w/w]. Source: Salt Institute, physical
properties; it defines 100 degrees salometer."""

STRONGEST = 26.4
"""The strongest brine these functions speak of, just below saturation at 0 to 25 degC [% w/w]."""

SIXTY_F = (60.0 - 32.0) / 1.8
"""60 degF [degC]."""


def saturation(temperature: float) -> float:
    """Strength of saturated brine [% w/w]. Source: Sparrow 2003; here from 0.1 to 60 degC."""
    t = within("temperature", temperature, 0.1, 60.0, "degC")
    return 100.0 * (0.2628 + 62.75e-6 * t + 1.084e-6 * t**2)


def in_water(strength: float) -> float:
    """Salt per water in a brine of this strength [g per 100 g water]; 0 to 40 % w/w."""
    within("strength", strength, 0.0, 40.0, "% w/w")
    return 100.0 * strength / (100.0 - strength)


def from_mass_ratio(salt: float, water: float) -> float:
    """Strength of `salt` dissolved in `water`, both in the same unit of mass [% w/w].

    Raises:
        OutOfRangeError: if this is more salt than dissolves.
    """
    return within("strength", 100.0 * salt / (salt + water), 0.0, STRONGEST, "% w/w")


def from_salometer(degrees: float) -> float:
    """Strength from degrees salometer, 0 to 100, read at 60 degF [% w/w]."""
    return within("salometer reading", degrees, 0.0, 100.0, "degrees") / 100.0 * SATURATED_AT_60F


def density(strength: float, temperature: float) -> float:
    """Density of brine [kg/m3], 0 to 26.4 % w/w and 0 to 60 degC.

    Source: Laliberte & Cooper 2004, coefficients for NaCl (from memory); within
    1 kg/m3 of Rogers & Pitzer 1982 (agreement in the tests).
    """
    w = within("strength", strength, 0.0, STRONGEST, "% w/w") / 100.0
    t = within("temperature", temperature, 0.0, 60.0, "degC")
    specific = (w + 1.0166 + 0.014624 * t) / (
        (-0.00433 * w + 0.06471) * math.exp(1e-6 * (t + 3315.6) ** 2)
    )
    return 1.0 / ((1.0 - w) / _water(t) + w * specific)


def from_baume(degrees: float) -> float:
    """Strength from degrees Baume (SG = 145 / (145 - degrees)) read at 60 degF [% w/w].

    Raises:
        OutOfRangeError: outside 0 to 24.5 degrees, where no brine can be.
    """
    within("Baume reading", degrees, 0.0, 24.5, "degrees")
    wanted = 145.0 / (145.0 - degrees) * _water(SIXTY_F)
    low, high = 0.0, STRONGEST
    while high - low > 1e-9:
        middle = (low + high) / 2
        low, high = (middle, high) if density(middle, SIXTY_F) < wanted else (low, middle)
    return low


def _water(t: float) -> float:
    """Density of water at t [degC], kg/m3. Source: Kell 1975, coefficients from memory."""
    over = 999.83952 + t * (
        16.945176
        + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return over / (1.0 + 16.879850e-3 * t)
