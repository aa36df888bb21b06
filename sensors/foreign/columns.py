"""Which columns hold temperatures and humidities, and in which unit."""

import re
import statistics
from collections.abc import Iterator
from dataclasses import dataclass

from cavewatch.core.sensor import Unit
from sensors.decode.guess import unit
from sensors.decode.values import number
from sensors.faults import SensorError
from sensors.foreign.shape import Shape

_ANOTHER = re.compile(
    r"\b(?:dew|dp|taupunkt|set|setpoint|soll|batt|battery|volt|voltage|alarm|rssi|signal|wet|abs|"
    r"absolute|index|feels|press|pressure|co2|heat)",
    re.IGNORECASE,
)
"""Words of titles of what no channel holds."""
_MOSTLY = 0.5
"""So many of a column's filled cells must be numbers; judgement."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column with numbers."""

    title: str
    """As it stands in the file."""
    unit: Unit | None
    """None where nothing tells what it measures."""
    example: str
    """Its first cell that holds a number."""


def columns(shape: Shape, times: tuple[int, ...]) -> Iterator[Column]:
    """Every titled column with numbers that is no part of the time."""
    for index, title in enumerate(shape.titles):
        if not title or index in times:
            continue
        cells = [row[index] for row in shape.rows if row[index]]
        found = [value for cell in cells if (value := _number(cell)) is not None]
        numbers = [value for value, _, _ in found if value is not None]
        if not numbers or len(found) < _MOSTLY * len(cells):
            continue
        sent = next((letters for _, letters, _ in found if letters), None)
        example = next(cell for value, _, cell in found if value is not None)
        yield Column(title, _unit(title, numbers, sent), example)


def _unit(title: str, numbers: list[float], sent: str | None) -> Unit | None:
    if _ANOTHER.search(title):
        return None
    # A fraction never passes 1, and a few damaged cells must not tell the unit.
    found = unit(title, statistics.median(numbers), sent)
    return Unit.PERCENT if found is Unit.FRACTION and max(numbers) > 1.0 else found


def _number(cell: str) -> tuple[float | None, str | None, str] | None:
    try:
        return (*number(cell), cell)
    except SensorError:
        return None
