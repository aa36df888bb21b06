"""One value as text to one reading."""

import re

from cavewatch.core.reading import Reading, judged
from cavewatch.core.sensor import Field, Unit
from sensors.faults import SensorError, shown

_NUMBER = re.compile(
    r"([-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?) ?(degC|degF|C|F|%RH|%)?",
    re.ASCII,
)
_NO_VALUE = ("", "nan", "-nan", "null", "none")
"""What boards print when a sensor is missing."""
_UNITS = {
    "C": Unit.CELSIUS,
    "degC": Unit.CELSIUS,
    "F": Unit.FAHRENHEIT,
    "degF": Unit.FAHRENHEIT,
    "%": Unit.PERCENT,
    "%RH": Unit.PERCENT,
}


def measured(field: Field, at: float, raw: object) -> Reading:
    """The reading that a raw value gives: converted, corrected by the offset, and judged.

    Args:
        field: the channel, its unit in the line, and its offset.
        at: when it was measured [s since 1970 UTC].
        raw: text, a JSON value, or None for a sensor without a value.

    Raises:
        SensorError: for what is not a number in this unit; its text lacks the
            subject ("holds '1.2.3', which ..."), because only the caller knows it.
    """
    value = _value(raw, field.unit)
    if value is not None:
        value = field.unit.to_channel(value) + field.offset
    return judged(field.channel, at, value)


def _value(raw: object, unit: Unit) -> float | None:
    if isinstance(raw, str):
        return _number(raw, unit)
    if raw is None or (isinstance(raw, int | float) and not isinstance(raw, bool)):
        return raw
    raise SensorError("holds something other than a number")


def _number(text: str, unit: Unit) -> float | None:
    found = _NUMBER.fullmatch(text)
    if found is None:
        if text.lower() in _NO_VALUE:
            return None
        raise SensorError(f"holds '{shown(text)}', which is not a number")
    number, sent = found.groups()
    if sent is not None and _UNITS[sent] is not unit:
        raise SensorError(f"comes in {sent} but is set up in {unit}")
    return float(number.replace(",", "."))
