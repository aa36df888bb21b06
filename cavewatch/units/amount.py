"""Amounts as people type them: a number and a unit, turned into the core's units.

A comma may stand for the decimal point. pint converts weights, lengths and
volumes, and is imported at the first value that needs converting: loading it
costs more than loading the rest of Cavewatch, and a value already in the
core's unit has no need of it.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING

from cavewatch.core.sensor import Unit
from cavewatch.units.errors import UnitError, quoted

if TYPE_CHECKING:
    from pint import UnitRegistry

_DEFINITIONS = """
gram = [mass] = g
kilogram = 1000 gram = kg = kilo
pound = 453.59237 gram = lb
ounce = pound / 16 = oz
centimetre = [length] = cm = centimeter
millimetre = centimetre / 10 = mm = millimeter
metre = 100 centimetre = m = meter
inch = 2.54 centimetre = in = inches
litre = [volume] = l = liter
millilitre = litre / 1000 = ml = milliliter
gallon = 3.785411784 litre = gal
quart = gallon / 4 = qt
"""
"""All in lower case, and nothing else: a unit that is not meant for the dairy is refused."""

_ABSOLUTE_ZERO = -273.15
_SECONDS = {
    **dict.fromkeys(("s", "sec", "second", "seconds"), 1),
    **dict.fromkeys(("min", "minute", "minutes"), 60),
    **dict.fromkeys(("h", "hour", "hours"), 3600),
    **dict.fromkeys(("d", "day", "days"), 86400),
}


@dataclass(frozen=True, slots=True)
class _Kind:
    """A kind of amount."""

    name: str
    base: str
    """Name of the core's unit in the registry."""
    symbol: str
    """The core's unit as it is usually typed."""
    example: str
    """What may be written."""


_MASS = _Kind("weight", "gram", "g", "2.3 kg or 5 lb")
_LENGTH = _Kind("length", "centimetre", "cm", "18 cm or 7 in")
_VOLUME = _Kind("volume", "litre", "l", "60 L or 16 gal (US)")


def tidied(text: str) -> str:
    """The text in lower case, with the signs that look alike made alike."""
    text = text.replace("º", "°").replace("″", '"').replace("”", '"').replace("−", "-")
    return unicodedata.normalize("NFKC", text).lower().replace("''", '"').strip()


def split(text: str, example: str) -> tuple[Decimal, str]:
    """Split '2,3 kg' into its number and its unit in lower case, empty if there is none.

    Raises:
        UnitError: where no number stands first, or one with a comma before
            three digits, which is a thousand to some and a decimal to others.
    """
    parts = re.fullmatch(
        r"([-+]?(?:[0-9]{1,12}(?:[.,][0-9]{1,12})?|[.,][0-9]{1,12}))\s*([^\s0-9.,].*)?",
        tidied(text),
    )
    if parts is None:
        raise UnitError(f"{quoted(text)} cannot be read; write it like {example}")
    number, unit = parts.groups()
    if re.fullmatch(r"[-+]?[1-9][0-9]{0,2},[0-9]{3}", number):
        plain, point = number.replace(",", ""), float(number.replace(",", "."))
        raise UnitError(f"{quoted(text)} may mean {plain} or {point:g}; write it without the comma")
    return Decimal(number.replace(",", ".")), unit or ""


@cache
def _registry() -> "UnitRegistry[Decimal]":
    from pint import UnitRegistry  # noqa: PLC0415 - see the top of this module

    registry: UnitRegistry[Decimal] = UnitRegistry(None, non_int_type=Decimal)
    registry.load_definitions(_DEFINITIONS.splitlines())
    return registry


def _read(text: str, kind: _Kind) -> Decimal:
    number, unit = split(text, kind.example)
    if not unit:
        raise UnitError(f"{quoted(text)} has no unit; write it like {kind.example}")
    if number <= 0:
        raise UnitError(
            f"{quoted(text)} is not above zero; write a {kind.name} like {kind.example}"
        )
    if unit == kind.symbol:
        return number
    word = "in" if unit == '"' else unit.removeprefix("us ").removesuffix(".")
    amount = _converted(number, word, kind.base) if re.fullmatch("[a-z]{1,12}", word) else None
    if amount is None:
        raise UnitError(f"{quoted(text)} is not a {kind.name}; write it like {kind.example}")
    return amount


def _converted(number: Decimal, unit: str, base: str) -> Decimal | None:
    """The number in the base unit; None for an unknown unit or one of another kind."""
    from pint import PintError  # noqa: PLC0415

    try:
        return Decimal(_registry().Quantity(number, unit).m_as(base))
    except PintError:
        return None


def mass(text: str) -> float:
    """Weight [g] from '2.3 kg', '410 g', '5 lb', '14 oz' or '5 lb 3 oz'.

    Raises:
        UnitError: for anything else, a number without unit, and zero or less.
    """
    both = re.fullmatch(
        r"(.*(?:lbs?|pounds?))\.?\s*(?:and\s+)?([0-9].*oz|[0-9].*ounces?)", tidied(text)
    )
    if both is None:
        return float(_read(text, _MASS))
    pounds, ounces = (_read(part, _MASS) for part in both.groups())
    if ounces >= _read("1 lb", _MASS):
        raise UnitError(f"{quoted(text)} has 16 ounces or more beside the pounds; write 5 lb 3 oz")
    return float(pounds + ounces)


def length(text: str) -> float:
    """Length [cm] from '18 cm', '180 mm', '0.18 m', '7 in' or '7\"'.

    Raises:
        UnitError: for anything else, a number without unit, and zero or less.
    """
    return float(_read(text, _LENGTH))


def volume(text: str) -> float:
    """Volume [L] from '60 L', '500 mL', '16 gal' or '2 qt', the last two of the United States.

    Raises:
        UnitError: for anything else, a number without unit, and zero or less.
    """
    return float(_read(text, _VOLUME))


def temperature(text: str) -> float:
    """Temperature [degC] from '12 degC', '12 °C', '12 C', '54 degF', '54 °F' or '54 F'.

    Raises:
        UnitError: for anything else, a number without unit, and below absolute zero.
    """
    example = "12 degC or 54 degF"
    number, unit = split(text, example)
    if not unit:
        raise UnitError(f"{quoted(text)} has no unit; write it like {example}")
    scale = re.fullmatch(r"(?:°|deg\.?|degrees?)?\s*(c|celsius|f|fahrenheit)", unit)
    if scale is None:
        raise UnitError(f"{quoted(text)} is not a temperature; write it like {example}")
    given = Unit.CELSIUS if scale[1].startswith("c") else Unit.FAHRENHEIT
    value = given.to_channel(float(number))
    if value < _ABSOLUTE_ZERO:
        raise UnitError(f"{quoted(text)} is below absolute zero; write it like {example}")
    return value


def humidity(text: str) -> float:
    """Relative humidity [%] from '88 %'.

    Raises:
        UnitError: for anything else, and outside 0 to 100 %.
    """
    number, unit = split(text, "88 %")
    if unit not in ("%", "% rh", "%rh", "percent"):
        raise UnitError(f"{quoted(text)} is not a relative humidity; write it like 88 %")
    if not 0 <= number <= 100:
        raise UnitError(f"{quoted(text)} is not from 0 to 100 %; write it like 88 %")
    return float(number)


def duration(text: str) -> float:
    """Length of time [s] from '30 s', '5 min', '8 h' or '2 d'.

    Raises:
        UnitError: for anything else, a number without unit, and zero or less.
    """
    example = "30 s, 5 min, 8 h or 2 d"
    number, unit = split(text, example)
    if unit not in _SECONDS:
        raise UnitError(f"{quoted(text)} is not a length of time; write it like {example}")
    if number <= 0:
        raise UnitError(f"{quoted(text)} is not above zero; write it like {example}")
    return float(number * _SECONDS[unit])
