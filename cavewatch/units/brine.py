"""The strength of a brine as people type it, whose basis is always asked for.

Per cent by weight, salt per volume of water and the two hydrometer scales are
mixed up in print; the same number means another brine in each of them.
"""

import re
import unicodedata

from cavewatch.core.brine.strength import (
    STRONGEST,
    from_baume,
    from_mass_ratio,
    from_salometer,
)
from cavewatch.core.errors import OutOfRangeError
from cavewatch.units.amount import mass, split, volume
from cavewatch.units.errors import UnitError, quoted

_EXAMPLE = "20 % (by weight), 2.25 lb/gal or 250 g/L water (salt per water), 80 salometer or 19 Be"

_WATER = 998.2
"""Density of the water that salt is stirred into, at 20 degC [g/L]. Source: CRC Handbook of
Chemistry and Physics, from memory; the tests hold it against CoolProp."""

_PER_WATER = re.compile(
    r"(?P<mass>[a-z]+)\s*(?:/|\bper\b)\s*(?:us\s+)?(?P<volume>[a-z]+)(?P<water>\s*(?:of\s+)?water)?"
)


def strength(text: str) -> float:
    """Salt in a brine [% w/w].

    Read are '20 %' (by weight), '2.25 lb/gal' (salt per US gallon of water),
    '250 g/L water', '80 salometer' and '19 Be' (heavy scale, at the
    hydrometer's own temperature).

    Raises:
        UnitError: for anything else, a basis left open, and more salt than water holds.
    """
    number, unit = split(text, _EXAMPLE)
    if number <= 0:
        raise UnitError(f"{quoted(text)} is not above zero; write {_EXAMPLE}")
    try:
        return _percent(text, float(number), unit)
    except OutOfRangeError as fault:
        raise UnitError(f"{quoted(text)} is no brine: {fault}") from fault


def _percent(text: str, number: float, unit: str) -> float:
    plain = "".join(c for c in unicodedata.normalize("NFD", unit) if not unicodedata.combining(c))
    words = re.sub(r"^(?:°|degrees?\b|deg\b\.?)\s*", "", plain)
    if re.fullmatch(r"(?:%|percent)\s*(?:\(?w/w\)?|by weight)?", words):
        return _by_weight(text, number)
    if words in ("salometer", "sal"):
        return from_salometer(number)
    if words in ("be", "baume"):
        return from_baume(number)
    per = _PER_WATER.fullmatch(words)
    if per is None:
        raise UnitError(
            f"{quoted(text)} does not say what kind of strength it is; write {_EXAMPLE}"
        )
    litres = volume(f"1 {per['volume']}")
    if not per["water"] and not per["volume"].startswith("gal"):
        raise UnitError(
            f"{quoted(text)} may mean water or brine; "
            f"write {quoted(f'{text.strip()} water')}, or the strength as 20 %"
        )
    return from_mass_ratio(mass(f"{number:.12g} {per['mass']}"), litres * _WATER)


def _by_weight(text: str, number: float) -> float:
    if number > STRONGEST:
        raise UnitError(
            f"{quoted(text)} is more than water holds, {STRONGEST:g} % by weight; "
            f"salt per 100 g of water is written as {10 * number:g} g/L water"
        )
    return number
