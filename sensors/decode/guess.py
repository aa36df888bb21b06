"""What lines look like of which nothing is known yet."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cavewatch.core.reading import Quantity
from cavewatch.core.sensor import LineFormat, Unit
from sensors.decode import formats
from sensors.decode.values import number, unit_of
from sensors.faults import SensorError

_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_ .%/()-]*")
_HINTS = {
    Quantity.TEMPERATURE: re.compile(
        r"t|te?mp[a-z]*|air|brine|tub|warm|c|degc|celsius|f|degf|fahrenheit"
    ),
    Quantity.HUMIDITY: re.compile(
        r"h|rh|rf|hr|hum[a-z]*|(?:luft)?feucht[a-z]*|umid[a-z]*|damp|%|%rh"
    ),
}
_FAHRENHEIT = ("f", "degf", "fahrenheit")
_CELSIUS = ("c", "degc", "celsius")
_PARTS = re.compile(r"[^a-z%]+")
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
_HOT = 45.0
"""A temperature beyond it is taken for degF; judgement [degC]."""


Values = Mapping[str, tuple[float | None, str | None]]


@dataclass(frozen=True, slots=True)
class Understood:
    """One line that makes sense."""

    format: LineFormat
    values: Values
    """Number and unit as sent, by name; a column without a title is 'first', 'second' ..."""


def titles(text: str) -> tuple[str, ...]:
    """The names in a line of titles; nothing for any other line."""
    if formats.told(text) is not LineFormat.COLUMNS:
        return ()
    names = formats.header(text, set())
    fit = len(names) > 1 and all(_NAME.fullmatch(name) for name in names)
    return names if fit and len({name.casefold() for name in names}) == len(names) else ()


def understood(text: str, columns: Sequence[str] = ()) -> Understood:
    """What a line holds.

    Args:
        text: the line.
        columns: names from a line of titles, if one came.

    Raises:
        SensorError: if it is none that a sensor sends; it says why.
    """
    form = formats.told(text)
    if form is LineFormat.COLUMNS:
        found = _columns(text, columns)
    else:
        raw = formats.pairs(text) if form is LineFormat.PAIRS else formats.flat_object(text)
        found = {name: value for name in raw if (value := _number(raw[name])) is not None}
    if all(value is None for value, _ in found.values()):
        raise SensorError("it holds no number")
    return Understood(form, found)


def _columns(text: str, columns: Sequence[str]) -> Values:
    """As few columns as make numbers of all, because a comma may be a decimal comma."""
    for names in (columns, *(_ORDINALS[:count] for count in range(1, len(_ORDINALS) + 1))):
        if names:
            try:
                raw = formats.columns(text, names)
                return {name: number(value) for name, value in raw.items()}
            except SensorError:
                continue
    raise SensorError("it holds words that are not numbers")


def _number(raw: object) -> tuple[float | None, str | None] | None:
    try:
        return number(raw)
    except SensorError:
        return None


def unit(name: str, value: float | None, sent: str | None) -> Unit | None:
    """The unit that a value is in, by what was sent with it, its name and its size; None if
    nothing tells what it measures."""
    if sent is not None:
        return unit_of(sent)
    words = [word for word in _PARTS.split(name.casefold()) if word]
    if any(_HINTS[Quantity.HUMIDITY].fullmatch(word) for word in words):
        return Unit.FRACTION if value is not None and 0.0 < value <= 1.0 else Unit.PERCENT
    if any(word in _FAHRENHEIT for word in words):
        return Unit.FAHRENHEIT
    if any(word in _CELSIUS for word in words):
        return Unit.CELSIUS
    if any(_HINTS[Quantity.TEMPERATURE].fullmatch(word) for word in words):
        return Unit.FAHRENHEIT if value is not None and value > _HOT else Unit.CELSIUS
    return None
