"""Charts: pure functions of values and size to lines of braille."""

from cavewatch.core.reading import Quantity
from cavewatch.core.series import Values

_DOTS = ((0x40, 0x80), (0x04, 0x20), (0x02, 0x10), (0x01, 0x08))
"""Braille bits of a cell, from the lowest dot up, left and right."""
_LEAST = {Quantity.TEMPERATURE: 1.0, Quantity.HUMIDITY: 4.0}
"""A chart spans at least this much, so that noise does not look like drift [degC], [%]."""


def scale(values: Values, quantity: Quantity) -> tuple[float, float] | None:
    """The lowest and highest value that a chart of these shows; None if there are none."""
    known = [value for value in values if value is not None]
    if not known:
        return None
    low, high = min(known), max(known)
    short = max(0.0, _LEAST[quantity] - (high - low)) / 2
    return low - short, high + short


def chart(values: Values, low: float, high: float, rows: int) -> list[str]:
    """A curve through the values, two to a cell, top row first; an empty bin leaves a gap."""
    levels = [None if v is None else _level(v, low, high, rows) for v in values]
    columns = (len(levels) + 1) // 2
    cells = [[0] * columns for _ in range(rows)]
    before: int | None = None
    for index, level in enumerate(levels):
        if level is not None:
            start = level if before is None else before + (level > before) - (level < before)
            for height in range(min(start, level), max(start, level) + 1):
                row, dot = divmod(height, 4)
                cells[rows - 1 - row][index // 2] |= _DOTS[dot][index % 2]
        before = level
    return ["".join(chr(0x2800 + bits) if bits else " " for bits in row) for row in cells]


def trend(values: Values, quantity: Quantity) -> str:
    """A curve in one line; blanks if there is nothing to show."""
    span = scale(values, quantity)
    return " " * ((len(values) + 1) // 2) if span is None else chart(values, *span, rows=1)[0]


def _level(value: float, low: float, high: float, rows: int) -> int:
    """The dot that a value falls on, counted from below."""
    top = rows * 4 - 1
    return min(top, max(0, round((value - low) / (high - low) * top)))
