"""Brine strength: one number, % w/w (g of salt per 100 g of brine), and saturation.

Source: Sparrow 2003 (saturation, coefficients as reprinted in an open property package).
"""

from cavewatch.core.errors import OutOfRangeError, within

SATURATED_AT_60F = 26.395
"""Strength of saturated brine at 60 degF [% w/w]. Source: Salt Institute, physical
properties; it defines 100 degrees salometer."""

STRONGEST = 26.59
"""The strongest brine these functions speak of [% w/w]: the end of the density formula, and
saturated brine at 32 degC."""

SIXTY_F = (60.0 - 32.0) / 1.8
"""60 degF [degC]."""


def saturation(temperature: float) -> float:
    """Strength of saturated brine [% w/w]. Source: Sparrow 2003; here from 0 to 60 degC.

    Below 0.1 degC the salt that settles is the dihydrate, which changes nothing in brine
    that is not saturated.
    """
    t = within("temperature", temperature, 0.0, 60.0, "degC")
    return 100.0 * (0.2628 + 62.75e-6 * t + 1.084e-6 * t**2)


def share_of_saturation(strength: float, temperature: float) -> float:
    """How far a brine is saturated at its temperature [%]; 100 is all it can hold.

    Raises:
        OutOfRangeError: for more salt than dissolves at that temperature.
    """
    most = saturation(temperature)
    if not 0.0 <= strength <= most * (1.0 + 1e-9):
        raise OutOfRangeError("strength", strength, 0.0, most, "% w/w")
    return strength / most * 100.0


def in_water(strength: float) -> float:
    """Salt per water in a brine of this strength [g per 100 g water]; 0 to 40 % w/w."""
    within("strength", strength, 0.0, 40.0, "% w/w")
    return 100.0 * strength / (100.0 - strength)


def from_in_water(salt_per_100g_water: float) -> float:
    """Strength from the salt per water [% w/w]; the inverse of `in_water`, 0 to 66.7 g."""
    within("salt", salt_per_100g_water, 0.0, 200.0 / 3.0, "g per 100 g water")
    return 100.0 * salt_per_100g_water / (100.0 + salt_per_100g_water)


def from_mass_ratio(salt: float, water: float) -> float:
    """Strength of `salt` dissolved in `water`, both in the same unit of mass [% w/w].

    Raises:
        OutOfRangeError: if this is more salt than dissolves.
    """
    return within("strength", 100.0 * salt / (salt + water), 0.0, STRONGEST, "% w/w")
