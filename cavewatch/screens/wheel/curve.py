"""The uptake of a wheel over time: curve with range, aim, what was done, when it is to come out."""

import math
from bisect import bisect_right
from collections.abc import Iterable
from zoneinfo import ZoneInfo

from cavewatch.core.countdown import Span
from cavewatch.core.journal import Assayed, Entry
from cavewatch.core.series import Bins
from cavewatch.core.uptake import Uptake
from cavewatch.core.wheel import Event, Wheel
from cavewatch.screens.curves import Curve, Mark, Plot, Point, chart, marks_line, time_axis
from cavewatch.screens.curves.raster import ACROSS
from cavewatch.screens.lines import Line, Part, Role, pad
from cavewatch.screens.wording import MINUTE
from cavewatch.units import Display

LABELS = 6
"""Cells for the values beside the curve."""
AROUND = 3
"""Lines under the curve: what was done, the lift with its range, the times."""
_LEAST = 0.2
"""The scale is never shorter [% of the cheese]."""
_DASH = 6
_LETTERS = {Event.IN: "i", Event.TURNED: "t", Event.SALTED: "s", Event.OUT: "l"}
LEGEND = "i in  t turned  s salted  l lifted"


def columns_of(width: int) -> int:
    """Cells across of the curve itself on lines of this width."""
    return max(8, width - LABELS - 1)


def bins_of(uptake: Uptake, width: int) -> Bins:
    """The stretches of time that the curve is made of: whole minutes, from the going in on."""
    count = ACROSS * columns_of(width)
    length = math.ceil((uptake.times[-1] - uptake.times[0]) / count / MINUTE) * MINUTE
    return Bins(uptake.times[0], length, count)


def column_at(cell: int) -> int:
    """The column of the curve in a cell of its lines; negative in the labels."""
    return cell - LABELS - 1


def curve_lines(
    uptake: Uptake,
    wheel: Wheel,
    entries: Iterable[Entry],
    cursor: float | None,
    zone: ZoneInfo,
    display: Display,
    width: int,
    rows: int,
    ascii_only: bool,
) -> list[Line]:
    """The curve on so many lines, those under it included.

    Args:
        uptake: worked out.
        wheel: whose it is.
        entries: of which the assays are shown.
        cursor: the moment that is cut through [s since 1970 UTC].
        zone: in which people there read the time.
        display: the viewer's units.
        width: of a line [cells].
        rows: lines in all.
        ascii_only: for a terminal without braille.
    """
    bins, columns = bins_of(uptake, width), columns_of(width)
    found = [_between(uptake, at) for at in bins.middles]
    target = uptake.target
    plot = Plot(
        bins=bins,
        curves=(
            Curve(
                [None if each is None else each.expected for each in found],
                [None if each is None else each.low for each in found],
                [None if each is None else each.high for each in found],
                Role.STRONG,
            ),
            *(_dashed(edge, bins) for edge in (target.low, target.high)),
        ),
        show=display.salt,
        least=_LEAST,
        target=target.expected,
        points=tuple(
            Point(entry.at, entry.act.salt)
            for entry in entries
            if isinstance(entry.act, Assayed) and wheel.id in entry.act.wheels
        ),
        cursor=cursor,
        bounds=(0.0, 100.0),
    )
    done = [Mark(h.at, "", _LETTERS[h.event], _LETTERS[h.event]) for h in wheel.history]
    return [
        *chart(plot, columns, max(2, rows - AROUND), LABELS, ascii_only),
        marks_line(bins, done, columns, "done", LABELS, ascii_only),
        _lift_line(uptake.aimed, bins, columns, ascii_only),
        time_axis(bins, zone, columns, LABELS, ascii_only),
    ]


def _between(uptake: Uptake, at: float) -> Span | None:
    """The salt at a time, along the straight line between two that were worked out."""
    times, salt = uptake.times, uptake.salt
    index = bisect_right(times, at)
    if not 0 < index < len(times):
        return None
    before, after = salt[index - 1], salt[index]
    part = (at - times[index - 1]) / (times[index] - times[index - 1])
    return Span(
        before.low + part * (after.low - before.low),
        before.expected + part * (after.expected - before.expected),
        before.high + part * (after.high - before.high),
    )


def _dashed(value: float, bins: Bins) -> Curve:
    dashes = [value if n % _DASH < _DASH // 3 else None for n in range(bins.count)]
    return Curve(dashes, role=Role.FAINT)


def _lift_line(aimed: Span, bins: Bins, columns: int, ascii_only: bool) -> Line:
    """When it has its aim: earliest, expected, latest."""
    low, line, middle, high = "[-o]" if ascii_only else "├─◆┤"
    spots = [
        max(0, min(columns - 1, int((at - bins.since) / bins.length) // ACROSS))
        for at in (aimed.low, aimed.expected, aimed.high)
    ]
    cells = [" "] * columns
    cells[spots[0] : spots[2] + 1] = line * (spots[2] + 1 - spots[0])
    cells[spots[0]] = low if aimed.low >= bins.since else line
    cells[spots[2]] = high if aimed.high < bins.until else line
    cells[spots[1]] = middle
    return Part(pad("aim", LABELS, right=True) + " ", Role.FAINT), Part("".join(cells))
