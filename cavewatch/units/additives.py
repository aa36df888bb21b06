"""Calcium chloride, acids and the alkalinity of water as people type them."""

import re

from cavewatch.core.brine.acid import Acid, lactic, vinegar
from cavewatch.core.brine.calcium import ANHYDROUS, DIHYDRATE, CalciumSource, solution
from cavewatch.core.countdown import Span
from cavewatch.units.amount import split, tidied
from cavewatch.units.errors import UnitError, quoted

_SALTS = {"anhydrous": ANHYDROUS, "dihydrate": DIHYDRATE}
_ACIDS = {"vinegar": vinegar, "lactic": lactic}

_PER_LITRE = {
    **dict.fromkeys(("mmol/l",), 1.0),
    **dict.fromkeys(("mg/l caco3", "mg/l as caco3", "ppm caco3", "ppm as caco3"), 2 / 100.09),
    **dict.fromkeys(("°dh", "dh", "dkh", "°dkh"), 20 / 56.08),
}
"""Hydrogen carbonate [mmol/L] in one unit of each: two for a calcium carbonate of 100.09 g/mol;
a German degree is 10 mg/L of calcium oxide of 56.08 g/mol."""


def calcium_source(text: str) -> CalciumSource:
    """Calcium chloride from 'anhydrous', 'dihydrate' or '33 % solution'.

    Raises:
        UnitError: for anything else.
    """
    words = tidied(text)
    if words in _SALTS:
        return _SALTS[words]
    found = re.fullmatch(r"([0-9.,]+\s*%)\s*(?:w/w)?\s*solution", words)
    if found is None:
        raise UnitError(
            f"{quoted(text)} is no form of calcium chloride; write anhydrous, dihydrate or "
            "'33 % solution', as the packet says"
        )
    return solution(float(split(found[1], "33 % solution")[0]))


def acid(text: str) -> Acid:
    """An acid from 'vinegar 5 %' or 'lactic 88 %'; without a per cent, of these strengths.

    Raises:
        UnitError: for anything else.
    """
    words = tidied(text)
    found = re.fullmatch(r"(vinegar|lactic)(?:\s+acid)?(?:\s+([0-9.,]+)\s*%)?", words)
    if found is None:
        raise UnitError(f"{quoted(text)} is no acid; write 'vinegar 5 %' or 'lactic 88 %'")
    make = _ACIDS[found[1]]
    if found[2] is None:
        return make()
    percent = float(split(found[2], "vinegar 5 %")[0])
    if not 0 < percent <= 100:
        raise UnitError(f"{quoted(text)} is not above 0 and up to 100 %; write 'vinegar 5 %'")
    return make(percent)


def alkalinity(text: str) -> Span:
    """Hydrogen carbonate in water [mmol/L] from '2.5 mmol/L', '125 mg/L CaCO3' or '7 dKH'.

    Raises:
        UnitError: for anything else.
    """
    number, unit = split(text, "2.5 mmol/L or 125 mg/L CaCO3")
    if unit not in _PER_LITRE or number < 0:
        raise UnitError(
            f"{quoted(text)} is no alkalinity; write it like 2.5 mmol/L, 125 mg/L CaCO3 or 7 dKH"
        )
    value = float(number) * _PER_LITRE[unit]
    return Span(value, value, value)
