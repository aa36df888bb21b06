"""A sugar refractometer in brine: degrees Brix that are not sugar, to strength and back.

Salt bends light about as sugar does, but not by one factor: 5 % of salt reads 6.0 Brix
and 20 % reads 22.7. Relation: refractive index of NaCl solutions at 20 degC from a
handbook table (CRC's concentrative properties, as copied; 1 to 22 %, the rows for 24 and
26 % from memory) turned to Brix by the ICUMSA relation as the package chemicals
1.5.2 has it, and a parabola through them, within 0.06 % of salt of each row.
"""

from math import hypot, sqrt

from cavewatch.core.brine.agreement import ImpossibleReadingError, Measured, whey, whey_remarks
from cavewatch.core.brine.strength import STRONGEST
from cavewatch.core.countdown import Span
from cavewatch.core.errors import within

_A, _B = 0.8233, 0.00248
"""Strength = _A Brix + _B Brix squared."""

_DIVISION = 0.2
"""Width of the marks of a hand instrument [Brix]. Common practice, no source."""

_RELATION = 0.1
"""What the relation above may be off: the fit, and the last digit of its table [% w/w]."""

_PER_KELVIN = 0.02
"""What an instrument that corrects to 20 degC for sugar is off with salt [Brix/K].
Judgement; nothing read."""

_WHEY_AS_SALT = 0.9
"""Grams of salt that a gram of whey solids looks like, taken to read as sugar does (judgement):
in strong brine a Brix is 0.9 % of salt."""


def shows(strength: float) -> float:
    """What a refractometer should read in clear brine at 20 degC [Brix]; 0 to 26.59 % w/w."""
    within("strength", strength, 0.0, STRONGEST, "% w/w")
    return 2.0 * strength / (_A + sqrt(_A**2 + 4.0 * _B * strength))


def read(brix: float, temperature: float, passed: float | None = None) -> Measured:
    """Strength of a brine by a refractometer that corrects itself to 20 degC.

    The range joins half a division of 0.2 Brix, the relation and the temperature in
    quadrature, each as what it is within nineteen times in twenty.

    Args:
        brix: the reading, 0 to 29.7.
        temperature: of the instrument with its drop [degC], 10 to 30.
        passed: cheese that went through, per litre of brine [kg/L]; widens the low side.

    Raises:
        ImpossibleReadingError: below 0, and beyond saturated salt.
    """
    within("temperature", temperature, 10.0, 30.0, "degC")
    unsure = hypot(_DIVISION / 2.0, _PER_KELVIN * (temperature - 20.0))
    most = shows(STRONGEST)
    if not brix >= -unsure:
        raise ImpossibleReadingError(
            f"{brix:.1f} Brix is below water without salt, which reads 0.0; set the "
            "refractometer to zero with water first"
        )
    if not brix <= most + unsure + _RELATION:
        raise ImpossibleReadingError(
            f"{brix:.1f} Brix is beyond saturated salt, which reads {most:.1f} at most; look for "
            "undissolved fines, whey in old brine, or a scale that shows salt and not Brix"
        )
    found = min(max(brix, 0.0), most)
    strength = min(_strength(found), STRONGEST)
    spread = hypot(unsure * (_A + 2.0 * _B * found), _RELATION)
    return Measured(
        Span(
            max(strength - spread - whey(passed, _WHEY_AS_SALT), 0.0),
            strength,
            min(strength + spread, STRONGEST),
        ),
        "refractometer",
        whey_remarks(passed),
    )


def _strength(brix: float) -> float:
    return brix * (_A + _B * brix)
