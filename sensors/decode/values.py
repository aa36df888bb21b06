"""One value as text to one reading."""

import math
import re

from cavewatch.core.reading import Reading, judged
from cavewatch.core.sensor import Field, Unit
from sensors.faults import SensorError, shown

_NUMBER = re.compile(
    r"([-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?) ?((?:deg|[°º])?[CF]|%(?: ?[rR][hH])?)?",
    re.ASCII,
)
_LARGEST = 1e300
_NO_VALUE = frozenset(
    ("", "nan", "-nan", "null", "none", "n/a", "#n/a", "na", "-", "--", "---", "error", "err")
)
"""What boards print, and loggers write, when a sensor is missing."""
_UNITS = {"C": Unit.CELSIUS, "F": Unit.FAHRENHEIT, "%": Unit.PERCENT}
"""By the letter that tells: the last of a temperature's, the first of a humidity's."""


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
    value, sent = number(raw)
    if sent is not None and unit_of(sent) is not field.unit:
        raise SensorError(f"comes in {sent} but is set up in {field.unit}")
    if value is not None:
        value = field.unit.to_channel(value) + field.offset
    return judged(field.channel, at, value)


def number(raw: object) -> tuple[float | None, str | None]:
    """The number in a raw value, and its unit as it was sent; None for either that is not there.

    Raises:
        SensorError: for what is not a number; see `measured`.
    """
    if isinstance(raw, str):
        return _typed(raw)
    if raw is None:
        return None, None
    if isinstance(raw, int | float) and not isinstance(raw, bool):
        # An integer may have more digits than a float can hold; no sensor measures so much.
        return math.inf if abs(raw) > _LARGEST else float(raw), None
    raise SensorError("holds something other than a number")


def unit_of(sent: str) -> Unit:
    """The unit that these letters behind a number mean."""
    return _UNITS["%" if sent.startswith("%") else sent[-1]]


def _typed(text: str) -> tuple[float | None, str | None]:
    found = _NUMBER.fullmatch(text)
    if found is None:
        if text.lower() in _NO_VALUE:
            return None, None
        raise SensorError(f"holds '{shown(text)}', which is not a number")
    digits, sent = found.groups()
    return float(digits.replace(",", ".")), sent
