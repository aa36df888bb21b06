"""A line over time as SVG: values with their spread, the range, and where nothing was recorded."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from xml.etree import ElementTree as ET

from cavewatch.core.text import clean

WIDTH, HEIGHT = 900, 230
_LEFT, _RIGHT, _TOP, _BOTTOM = 52, 10, 10, 26
_LINES = 5
"""About so many lines across."""


@dataclass(frozen=True, slots=True)
class Point:
    """What was measured over one stretch."""

    at: float
    """Its middle [s]."""
    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Level:
    """One edge of a range, which may change as time goes on."""

    name: str
    steps: tuple[tuple[float, float | None], ...]
    """From when on [s] it is what; None where nobody sets it. By time."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """From when until when [s]."""

    since: float
    until: float


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart."""

    title: str
    unit: str
    points: tuple[Point, ...]
    """By time."""
    since: float
    """Left end [s]."""
    until: float
    """Right end [s]."""
    apart: float
    """Points that are farther apart are not joined [s]."""
    days: tuple[tuple[float, str], ...]
    """Where days, or months, begin [s], with their names."""
    levels: tuple[Level, ...] = ()
    empty: tuple[Stretch, ...] = ()
    """Where there is nothing on record; it is hatched."""


def drawn(chart: Chart) -> ET.Element:
    """The chart as an SVG element that scales."""
    scale = _Scale.of(chart)
    svg = ET.Element("svg", {"viewBox": f"0 0 {WIDTH} {HEIGHT}", "role": "img", "font-size": "11"})
    ET.SubElement(svg, "title").text = clean(chart.title, 200)
    ET.SubElement(svg, "desc").text = clean(_said(chart), 400)
    _grid(svg, chart, scale)
    for stretch in chart.empty:
        _hatch(svg, scale, stretch)
    for run in _runs(chart.points, chart.apart):
        _draw(svg, scale, run)
    for level in chart.levels:
        _edge(svg, scale, level, chart.until)
    return svg


def ticks(low: float, high: float, about: int = _LINES) -> list[float]:
    """Round numbers from `low` or below to `high` or above, which are apart; about so many."""
    raw = (high - low) / about
    size = 10.0 ** math.floor(math.log10(raw))
    step = next(size * each for each in (1, 2, 5, 10) if size * each >= raw * 0.999)
    first, last = math.floor(low / step), math.ceil(high / step)
    return [round(step * number, 9) for number in range(first, last + 1)]


@dataclass(frozen=True, slots=True)
class _Scale:
    """Where times and values stand."""

    since: float
    until: float
    lines: tuple[float, ...]

    @classmethod
    def of(cls, chart: Chart) -> "_Scale":
        values = [edge for point in chart.points for edge in (point.low, point.high)]
        values += [v for level in chart.levels for _, v in level.steps if v is not None]
        low, high = min(values, default=0.0), max(values, default=1.0)
        if high - low < 1.0:
            low, high = low - 0.5, high + 0.5
        return cls(chart.since, max(chart.until, chart.since + 1.0), tuple(ticks(low, high)))

    def x(self, at: float) -> float:
        part = (min(max(at, self.since), self.until) - self.since) / (self.until - self.since)
        return _LEFT + part * (WIDTH - _LEFT - _RIGHT)

    def y(self, value: float) -> float:
        low, high = self.lines[0], self.lines[-1]
        return HEIGHT - _BOTTOM - (value - low) / (high - low) * (HEIGHT - _TOP - _BOTTOM)


def _said(chart: Chart) -> str:
    """What the chart shows, for those who do not see it."""
    if not chart.points:
        return "nothing was recorded"
    low = min(point.low for point in chart.points)
    high = max(point.high for point in chart.points)
    return f"from {low:.1f} to {high:.1f} {chart.unit}"


def _grid(svg: ET.Element, chart: Chart, scale: _Scale) -> None:
    left, right, bottom = _LEFT, WIDTH - _RIGHT, HEIGHT - _BOTTOM
    for value in scale.lines:
        y = _n(scale.y(value))
        _line(svg, f"M{left} {y}H{right}", "#ccc", "0.7")
        _label(svg, left - 5, float(y) + 4, f"{value:g}", "end")
    places = [*(scale.x(at) for at, _ in chart.days), float(right)]
    for (at, name), (begin, end) in zip(chart.days, pairwise(places), strict=True):
        if at > chart.since:
            _line(svg, f"M{_n(begin)} {_TOP}V{bottom}", "#ccc", "0.7")
        if end - begin >= 5.5 * len(name):
            _label(svg, (begin + end) / 2, HEIGHT - 9, name, "middle")
    _line(svg, f"M{left} {_TOP}V{bottom}H{right}", "#000", "1")


def _hatch(svg: ET.Element, scale: _Scale, stretch: Stretch) -> None:
    """Slanted lines over a stretch, drawn one by one so that no pattern needs a name."""
    left, right = scale.x(stretch.since), scale.x(stretch.until)
    bottom, height = HEIGHT - _BOTTOM, HEIGHT - _TOP - _BOTTOM
    path = f"M{_n(left)} {_TOP}V{bottom}M{_n(right)} {_TOP}V{bottom}"
    start = left - height
    while start < right:
        begin, end = max(start, left), min(start + height, right)
        if end > begin:
            path += f"M{_n(begin)} {_n(bottom - (begin - start))}"
            path += f"L{_n(end)} {_n(bottom - (end - start))}"
        start += 9
    _line(svg, path, "#999", "0.7")
    if right - left > 60:
        _label(svg, (left + right) / 2, _TOP + 24, "no data", "middle")


def _runs(points: Sequence[Point], apart: float) -> Iterator[list[Point]]:
    """Points that are joined."""
    run: list[Point] = []
    for point in points:
        if run and point.at - run[-1].at > apart:
            yield run
            run = []
        run.append(point)
    if run:
        yield run


def _draw(svg: ET.Element, scale: _Scale, run: list[Point]) -> None:
    """The spread as a grey band, the mean as a line; a point alone as a dot."""
    if len(run) == 1:
        x, y = _n(scale.x(run[0].at)), _n(scale.y(run[0].mean))
        ET.SubElement(svg, "circle", cx=x, cy=y, r="1.6", fill="#000")
        return
    upper = _path(scale, ((point.at, point.high) for point in run))
    lower = _path(scale, ((point.at, point.low) for point in reversed(run)))
    ET.SubElement(svg, "path", d=f"M{upper}L{lower}Z", fill="#ddd")
    _line(svg, "M" + _path(scale, ((point.at, point.mean) for point in run)), "#000", "1.2")


def _edge(svg: ET.Element, scale: _Scale, level: Level, until: float) -> None:
    """A dashed line, with its name where it begins."""
    path = ""
    named = False
    for (at, value), (end, _) in pairwise((*level.steps, (until, None))):
        if value is None or end <= scale.since or at >= until:
            continue
        y = scale.y(value)
        path += f"M{_n(scale.x(at))} {_n(y)}H{_n(scale.x(end))}"
        if not named:
            _label(svg, scale.x(end) - 4, y - 3, level.name, "end")
            named = True
    if path:
        _line(svg, path, "#000", "0.9").set("stroke-dasharray", "5 3")


def _path(scale: _Scale, places: Iterable[tuple[float, float]]) -> str:
    return "L".join(f"{_n(scale.x(at))} {_n(scale.y(value))}" for at, value in places)


def _line(svg: ET.Element, path: str, colour: str, width: str) -> ET.Element:
    return ET.SubElement(
        svg, "path", {"d": path, "fill": "none", "stroke": colour, "stroke-width": width}
    )


def _label(svg: ET.Element, x: float, y: float, text: str, anchor: str) -> None:
    element = ET.SubElement(svg, "text", {"x": _n(x), "y": _n(y), "text-anchor": anchor})
    element.text = clean(text, 60)


def _n(value: float) -> str:
    """A place in the drawing, to a tenth."""
    return f"{value:.1f}".removesuffix(".0")
