"""Water activity of the paste, from its salt in moisture: information, no proof of safety."""

from cavewatch.core.countdown import Span
from cavewatch.core.errors import within

PER_MOLAL = 0.033
"""Source: Marcos 1981, aw = 1 - 0.033 m for cheese of more than about 40 % moisture."""
SALT_MOLE = 58.443
"""Molar mass of salt [g/mol]."""
UNSURE = 0.01
"""How far off it may be [-]; judgement: cheddar fell by 0.009 in 270 d (Hickey 2013)."""
MOIST = 40.0
"""Drier cheese has less than this gives [% moisture]."""


def paste_activity(salt_in_moisture: float) -> Span:
    """Water activity once the salt is even [-].

    Args:
        salt_in_moisture: [g per 100 g water], 0 to 20.
    """
    molal = 10.0 * within("salt in moisture", salt_in_moisture, 0.0, 40.0, "g/100 g") / SALT_MOLE
    expected = 1.0 - PER_MOLAL * molal
    return Span(expected - UNSURE, expected, min(expected + UNSURE, 1.0))
