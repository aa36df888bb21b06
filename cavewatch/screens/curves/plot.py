"""A chart of one quantity over time, as lines of text.

The middle of a curve is a line, what lies between its lowest and highest is
grey behind it; a range is two dashed lines, an aim an unbroken one. Whatever
is outside its range is told by where it is as well as by its role.
"""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from cavewatch.core.series import Bins, Values
from cavewatch.screens.curves.raster import ACROSS, UP, Cell, Raster, ascii_sign, braille
from cavewatch.screens.lines import Line, Part, Role, pad

_STEPS = 10
"""The ends of a scale stand at one of its round steps, about so many of them in all."""
_Cells = dict[Cell, Part]


@dataclass(frozen=True, slots=True)
class Curve:
    """One line; the three have a value for each bin, and the outer two may be left out."""

    middle: Values
    low: Values = ()
    high: Values = ()
    role: Role = Role.PLAIN


@dataclass(frozen=True, slots=True)
class Point:
    """Something that was found at one moment, shown by a sign at its value."""

    at: float
    """[s since 1970 UTC]"""
    value: float
    sign: str = "◆"
    """One cell wide."""
    plain: str = "o"
    """The same in ASCII."""
    role: Role = Role.STRONG


@dataclass(frozen=True, slots=True)
class Plot:
    """What a chart shows, in one unit."""

    bins: Bins
    """Two for each cell across."""
    curves: tuple[Curve, ...]
    """The first is the one that is held against the range."""
    show: Callable[[float], str]
    """A value in words, for the labels."""
    least: float
    """A scale is never shorter than this, above 0, so that noise does not look like drift."""
    low: Values = ()
    """Lower edge of the range for each bin; empty for none."""
    high: Values = ()
    """Upper edge."""
    target: float | None = None
    """What is aimed at."""
    points: tuple[Point, ...] = ()
    cursor: float | None = None
    """The moment that is pointed at [s since 1970 UTC]."""
    bounds: tuple[float, float] = (-math.inf, math.inf)
    """Beyond these no value can be, and no scale goes."""


def scale(plot: Plot) -> tuple[float, float]:
    """The lowest and highest value that the chart has room for; whole steps, so that it rests."""
    known = _known(plot)
    low, high = (min(known), max(known)) if known else (0.0, 0.0)
    short = max(0.0, plot.least - (high - low)) / 2
    step = _round_step((high - low + 2 * short) / _STEPS)
    low, high = (
        math.floor((low - short) / step + 1e-9) * step,
        math.ceil((high + short) / step - 1e-9) * step,
    )
    return max(low, plot.bounds[0]), min(high, plot.bounds[1])


def chart(
    plot: Plot, columns: int, rows: int, labels: int = 9, ascii_only: bool = False
) -> list[Line]:
    """Draw it.

    Args:
        plot: what to show; its bins are twice as many as the columns.
        columns: cells across, without the labels.
        rows: lines.
        labels: cells for the values on the left; a blank follows them.
        ascii_only: for a terminal without braille.
    """
    ends = scale(plot)
    cells = _cells(plot, columns, rows, ends, ascii_only)
    words = _labels(plot, rows, ends) if _known(plot) else {}
    return [
        (
            Part(pad(words.get(row, ""), labels, right=True) + " ", Role.FAINT),
            *_joined(cells.get((row, column), Part(" ")) for column in range(columns)),
        )
        for row in range(rows)
    ]


def _cells(
    plot: Plot, columns: int, rows: int, ends: tuple[float, float], ascii_only: bool
) -> _Cells:
    """Every cell that is not blank; what is drawn later covers what was there."""
    sign = ascii_sign if ascii_only else braille

    def drawn(values: Values) -> dict[Cell, int]:
        raster = Raster(columns, rows)
        raster.line([None if v is None else _level(v, ends, rows) for v in values])
        return raster.bits

    grey = _grey(plot, columns, rows, ends)
    cells = {cell: Part(":" if ascii_only else sign(b), Role.FAINT) for cell, b in grey.items()}
    for edge in (plot.low, plot.high):
        for cell, bits in drawn(edge).items():
            if cell[1] % 2 == 0:
                cells[cell] = Part("." if ascii_only else sign(bits), Role.FAINT)
    aim = () if plot.target is None else (plot.target,) * plot.bins.count
    for cell, bits in drawn(aim).items():
        cells[cell] = Part("=" if ascii_only else sign(bits), Role.FAINT)
    cells |= _cursor(plot, rows, ascii_only)
    missed = _missed(plot)
    for curve in reversed(plot.curves):
        for cell, bits in drawn(curve.middle).items():
            out = curve is plot.curves[0] and cell[1] in missed
            behind = 0 if ascii_only else grey.get(cell, 0)
            cells[cell] = Part(sign(bits | behind), Role.CAUTION if out else curve.role)
    return cells | _points(plot, rows, ends, ascii_only)


def _grey(plot: Plot, columns: int, rows: int, ends: tuple[float, float]) -> dict[Cell, int]:
    """The dots between the lowest and the highest."""
    raster = Raster(columns, rows)
    for curve in plot.curves:
        for across, (low, high) in enumerate(zip(curve.low, curve.high, strict=True)):
            if low is not None and high is not None:
                raster.tint(across, range(_level(low, ends, rows), _level(high, ends, rows) + 1))
    return raster.bits


def _cursor(plot: Plot, rows: int, ascii_only: bool) -> _Cells:
    index = None if plot.cursor is None else plot.bins.index(plot.cursor)
    if index is None:
        return {}
    sign = Part("|" if ascii_only else "│", Role.STRONG)
    return {(row, index // ACROSS): sign for row in range(rows)}


def _points(plot: Plot, rows: int, ends: tuple[float, float], ascii_only: bool) -> _Cells:
    cells = {}
    for point in plot.points:
        index = plot.bins.index(point.at)
        if index is not None:
            row = rows - 1 - _level(point.value, ends, rows) // UP
            text = point.plain if ascii_only else point.sign
            cells[row, index // ACROSS] = Part(text, point.role)
    return cells


def _missed(plot: Plot) -> frozenset[int]:
    """The columns in which the first curve is outside its range."""
    low, high = (edge or (None,) * plot.bins.count for edge in (plot.low, plot.high))
    return frozenset(
        across // ACROSS
        for across, value in enumerate(plot.curves[0].middle)
        if value is not None
        and not (_or(low[across], -math.inf) <= value <= _or(high[across], math.inf))
    )


def _or(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value


def _labels(plot: Plot, rows: int, ends: tuple[float, float]) -> dict[int, str]:
    """Words by row: both ends of the scale, and where there is room what is drawn across."""
    words = {0: plot.show(ends[1]), rows - 1: plot.show(ends[0])}
    across = [plot.target, _last(plot.high), _last(plot.low)]
    for value in across:
        if value is not None:
            row = rows - 1 - _level(value, ends, rows) // UP
            if row in (0, rows - 1):
                words[row] = plot.show(value)
            else:
                words.setdefault(row, plot.show(value))
    return words


def _last(values: Values) -> float | None:
    return next((value for value in reversed(values) if value is not None), None)


def _known(plot: Plot) -> list[float]:
    """Every value that there has to be room for."""
    across = [plot.low, plot.high, (plot.target,)]
    across += [values for curve in plot.curves for values in (curve.low, curve.middle, curve.high)]
    found = [value for values in across for value in values if value is not None]
    return found + [p.value for p in plot.points if plot.bins.index(p.at) is not None]


def _level(value: float, ends: tuple[float, float], rows: int) -> int:
    """The dot that a value falls on, counted from below."""
    (low, high), top = ends, rows * UP - 1
    return min(top, max(0, round((value - low) / (high - low) * top))) if high > low else 0


def _round_step(rough: float) -> float:
    """1, 2 or 5 times a power of ten, not below the rough one."""
    power = 10.0 ** math.floor(math.log10(rough))
    return next(n * power for n in (1, 2, 5, 10) if n * power >= rough * (1 - 1e-9))


def _joined(parts: Iterable[Part]) -> Iterable[Part]:
    """The parts with neighbours of one role made one."""
    run: Part | None = None
    for part in parts:
        if run is not None and run.role is part.role:
            run = Part(run.text + part.text, run.role)
            continue
        if run is not None:
            yield run
        run = part
    if run is not None:
        yield run
