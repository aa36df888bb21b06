"""Density of water and of brine, and the strength that a density means.

Sources: Laliberte & Cooper 2004, coefficients for NaCl (from memory; an open property
package prints the same ones and gives 26.59 % w/w as their end), Kell 1975 (water,
coefficients from memory). The tests hold both against tabulated densities: within
1 kg/m3 of Rogers & Pitzer 1982 at 0 degC, 0.5 kg/m3 from 10 degC up; 0.7 at 26 %.
"""

import math

from cavewatch.core.brine.strength import STRONGEST
from cavewatch.core.errors import within

CALCIUM_VOLUME = 2.9e-4
"""Volume by which calcium chloride swells brine of about 20 % salt [m3/kg], by the mixing
rule of Laliberte & Cooper at 15 to 25 degC. It is 2.4e-4 in brine of 10 %, 3.1e-4 at 24 %."""

_ROUNDING = 1e-9
"""What the last digits of a density may be off after a conversion there and back [kg/m3]."""


def water(temperature: float) -> float:
    """Density of water without salt [kg/m3], 0 to 60 degC. Source: Kell 1975."""
    t = within("temperature", temperature, 0.0, 60.0, "degC")
    over = 999.83952 + t * (
        16.945176
        + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return over / (1.0 + 16.879850e-3 * t)


def density(strength: float, temperature: float) -> float:
    """Density of brine [kg/m3], 0 to 26.59 % w/w and 0 to 60 degC."""
    w = within("strength", strength, 0.0, STRONGEST, "% w/w") / 100.0
    salt = (w + _a(temperature)) / ((_C - _B * w) * _e(temperature))
    return 1.0 / ((1.0 - w) / water(temperature) + w * salt)


def strength_of(density: float, temperature: float) -> float:
    """Strength of the brine that has this density [kg/m3] at this temperature [% w/w].

    The exact inverse of `density`: Laliberte & Cooper's formula, put on one
    denominator, is quadratic in the mass fraction.

    Raises:
        OutOfRangeError: below water and above the strongest brine of the formula.
    """
    lowest, highest = water(temperature), _highest(temperature)
    within("density", density, lowest - _ROUNDING, highest + _ROUNDING, "kg/m3")
    a, e, u = _a(temperature), _e(temperature), 1.0 / lowest
    excess = 1.0 / density - u
    square, linear, constant = 1.0 + u * _B * e, a - u * _C * e + excess * _B * e, -excess * _C * e
    w = 2.0 * constant / (math.sqrt(linear**2 - 4.0 * square * constant) - linear)
    return min(max(100.0 * w, 0.0), STRONGEST)


def with_calcium(plain: float, calcium: float, temperature: float) -> float:
    """Density of a brine in which calcium chloride took the place of water [kg/m3].

    Args:
        plain: density of a brine as strong without calcium [kg/m3].
        calcium: calcium chloride, anhydrous [% w/w], 0 to 5.
        temperature: [degC], 0 to 60.
    """
    return 1.0 / (1.0 / plain - _contraction(calcium, temperature))


def without_calcium(found: float, calcium: float, temperature: float) -> float:
    """Density that the brine would have without its calcium; undoes `with_calcium` [kg/m3]."""
    return 1.0 / (1.0 / found + _contraction(calcium, temperature))


def _contraction(calcium: float, temperature: float) -> float:
    """Volume that a kilogram loses when so much of its water becomes calcium chloride [m3]."""
    within("calcium chloride", calcium, 0.0, 5.0, "% w/w")
    return calcium / 100.0 * (1.0 / water(temperature) - CALCIUM_VOLUME)


def _highest(temperature: float) -> float:
    """Density of the strongest brine [kg/m3]."""
    return density(STRONGEST, temperature)


_B, _C = 0.00433, 0.06471
"""c0 (with its sign turned) and c1 of Laliberte & Cooper for NaCl."""


def _a(temperature: float) -> float:
    """c2 + c3 t of Laliberte & Cooper for NaCl."""
    return 1.0166 + 0.014624 * temperature


def _e(temperature: float) -> float:
    """Laliberte & Cooper's exponential with c4 for NaCl [kg/m3]."""
    return math.exp(1e-6 * (temperature + 3315.6) ** 2)
