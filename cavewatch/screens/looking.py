"""How a viewer looks at curves: how much time, which moment, which curve."""

import math
from dataclasses import dataclass, replace

from cavewatch.core.series import Bins
from cavewatch.screens.curves.raster import ACROSS
from cavewatch.screens.curves.spans import Span
from cavewatch.screens.lines import Part, Role
from cavewatch.screens.plan import NARROW

LABELS = 8
"""Cells for the values beside a chart."""


@dataclass(frozen=True, slots=True)
class Looking:
    """What was chosen."""

    span: Span = Span.DAY
    cursor: float | None = None
    """The moment that is pointed at [s since 1970 UTC]; None for the present."""
    only: int | None = None
    """Number of the one curve that is shown; None for as many as there is room for."""


def columns_of(width: int) -> int:
    """Cells across of a chart on lines of this width."""
    return max(8, width - LABELS - 1)


def bins_of(looking: Looking, now: float, width: int) -> Bins:
    """The bins of a chart on lines of this width: up to the present, or around the cursor."""
    bins = Bins.before(now, looking.span.seconds, ACROSS * columns_of(width))
    if looking.cursor is not None and looking.cursor < bins.since:
        half = bins.count // 2
        halves = math.ceil((bins.since - looking.cursor) / (half * bins.length))
        bins = bins.moved(-half * halves)
    return bins


def earlier(looking: Looking, columns: int, now: float, width: int) -> Looking:
    """The cursor so many columns earlier, or later if negative; none beyond the present."""
    bins = bins_of(looking, now, width)
    at = (now if looking.cursor is None else looking.cursor) - columns * ACROSS * bins.length
    return replace(looking, cursor=None if at >= now else at)


def curve_at(looking: Looking, column: int, now: float, width: int) -> Looking:
    """The cursor in this column of the chart."""
    bins = bins_of(looking, now, width)
    if not 0 <= column < columns_of(width):
        return looking
    at = bins.since + (column * ACROSS + ACROSS / 2) * bins.length
    return replace(looking, cursor=None if at >= now else at)


def column_at(cell: int) -> int:
    """The column of a chart in a cell of its lines; negative in the labels."""
    return cell - LABELS - 1


def span_parts(looking: Looking, width: int) -> list[tuple[Span, Part]]:
    """The spans in words, the chosen one in brackets; that one alone where there is no room."""
    return [
        (span, Part(f"[{span}]", Role.STRONG) if chosen else Part(f" {span} ", Role.FAINT))
        for span in Span
        if (chosen := span is looking.span) or width >= NARROW
    ]


def span_at(looking: Looking, cell: int, width: int) -> Span | None:
    """The span whose word is in this cell."""
    end = 0
    for span, part in span_parts(looking, width):
        end += len(part.text)
        if cell < end:
            return span
    return None
