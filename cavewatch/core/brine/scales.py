"""The scales on which brine is read and written, each to and from strength [% w/w].

Every pair covers 0 % to the strongest brine it is defined for, rises with strength,
undoes itself within 1e-6, and raises OutOfRangeError outside.

Sources: Baume by its two moduli at 60 degF, 145 and Gerlach's 146.78 (a page on the
scale's history); salometer by the Salt Institute's saturation at 60 degF.
"""

from cavewatch.core.brine.density import density, strength_of, water
from cavewatch.core.brine.strength import (
    SATURATED_AT_60F,
    SIXTY_F,
    STRONGEST,
    from_mass_ratio,
    in_water,
)
from cavewatch.core.errors import OutOfRangeError, within

HEAVY = 145.0
"""Modulus of the usual Baume scale for liquids heavier than water: SG = 145 / (145 - Be)."""

GERLACH = 146.78
"""Modulus of Gerlach's Baume scale; 21 degrees on it are 0.3 % less salt than on the usual one."""

LITRE_OF_WATER = 998.2
"""The water that salt is stirred into, at 20 degC [g]; from the CRC Handbook, from memory,
held against CoolProp in the tests."""

GALLON_OF_WATER = 3.785411784 * LITRE_OF_WATER
"""A US gallon of it [g]."""

POUND = 453.59237
"""A pound [g]."""

_ROUNDING = 1e-9


def to_sg(strength: float, reference: float = SIXTY_F) -> float:
    """Specific gravity: brine over water, both at the reference temperature [degC]."""
    return density(strength, reference) / water(reference)


def from_sg(sg: float, reference: float = SIXTY_F) -> float:
    """Strength from specific gravity [% w/w], 1 to 1.206 at 60 degF."""
    _between("SG", sg, 1.0, to_sg(STRONGEST, reference), "")
    return strength_of(sg * water(reference), reference)


def to_baume(strength: float, modulus: float = HEAVY) -> float:
    """Degrees Baume at 60 degF."""
    return modulus - modulus / to_sg(strength)


def from_baume(degrees: float, modulus: float = HEAVY) -> float:
    """Strength from degrees Baume at 60 degF [% w/w], 0 to 24.8 degrees."""
    _between("Baume reading", degrees, 0.0, to_baume(STRONGEST, modulus), "degrees")
    return from_sg(modulus / (modulus - degrees))


def to_salometer(strength: float) -> float:
    """Degrees salometer at 60 degF; 100 is saturated there."""
    _between("strength", strength, 0.0, SATURATED_AT_60F, "% w/w")
    return strength / SATURATED_AT_60F * 100.0


def from_salometer(degrees: float) -> float:
    """Strength from degrees salometer at 60 degF [% w/w], 0 to 100 degrees."""
    _between("salometer reading", degrees, 0.0, 100.0, "degrees")
    return degrees / 100.0 * SATURATED_AT_60F


def to_grams_per_litre(strength: float, temperature: float) -> float:
    """Salt in a litre of brine at that temperature [g/L]."""
    return strength / 100.0 * density(strength, temperature)


def from_grams_per_litre(value: float, temperature: float) -> float:
    """Strength from the salt in a litre of brine at that temperature [% w/w].

    By fixed-point iteration; an error shrinks to under a fifth in each round.
    """
    _between("salt", value, 0.0, to_grams_per_litre(STRONGEST, temperature), "g/L of brine")
    strength = STRONGEST
    for _ in range(20):
        strength = min(100.0 * value / density(strength, temperature), STRONGEST)
    return strength


def to_pounds_per_gallon(strength: float) -> float:
    """Salt stirred into a US gallon of water at 20 degC [lb]; 0 to 26.59 % w/w."""
    within("strength", strength, 0.0, STRONGEST, "% w/w")
    return in_water(strength) / 100.0 * GALLON_OF_WATER / POUND


def from_pounds_per_gallon(value: float) -> float:
    """Strength from the salt stirred into a US gallon of water at 20 degC [lb]."""
    _between("salt", value, 0.0, to_pounds_per_gallon(STRONGEST), "lb per gallon of water")
    return min(from_mass_ratio(value * POUND, GALLON_OF_WATER), STRONGEST)


def _between(what: str, value: float, low: float, high: float, unit: str) -> None:
    """`within`, but for the last digits of a conversion there and back."""
    if not low - _ROUNDING <= value <= high + _ROUNDING:
        raise OutOfRangeError(what, value, low, high, unit)
