"""The curves of a place as lines: each quantity with its heading, marks, times, the cursor."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.dairy import ChannelView, PlaceView
from cavewatch.core.reading import Quantity
from cavewatch.core.time_in_range import TimeInRange
from cavewatch.screens import wording
from cavewatch.screens.curves import Curve, Plot, chart, marks_line, time_axis
from cavewatch.screens.curves.marks import near
from cavewatch.screens.lines import Line, Part, Role, clean, cut, fit, spread, width_of
from cavewatch.screens.looking import LABELS, Looking, columns_of, span_parts
from cavewatch.screens.place_past import Measured, Past
from cavewatch.screens.plan import NARROW
from cavewatch.units import Display

_LEAST = {Quantity.TEMPERATURE: 2.0, Quantity.HUMIDITY: 8.0}
"""A scale is never shorter than this [degC], [%]."""
_BOUNDS = {Quantity.TEMPERATURE: (-math.inf, math.inf), Quantity.HUMIDITY: (0.0, 100.0)}
_FEWEST, _MOST = 3, 10
"""Rows of a chart."""
_AROUND = 3
"""Rows for the spans, the marks and the times."""
_ROOMY = _AROUND + 8
"""From more rows than this on there is one for the meaning of the signs."""
_SHORT = {Quantity.TEMPERATURE: "temp", Quantity.HUMIDITY: "hum"}
_SEEN = 0.02
"""An estimate of less of the time is not mentioned: values are shown in whole per cent."""
_YEAR = 300 * 86400.0
"""What is so far away is told with its year [s]."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One chart."""

    heading: Line
    plot: Plot
    at: Callable[[int], str] = lambda _: ""
    """What is told of a bin under the cursor, beyond the readings; may be empty."""


def curve_lines(
    view: PlaceView,
    past: Past,
    looking: Looking,
    now: float,
    zone: ZoneInfo,
    display: Display,
    width: int,
    rows: int,
    ascii_only: bool = False,
    above: Sequence[Shown] = (),
) -> list[Line]:
    """All of it in at most this many rows, unless even the least does not fit.

    The charts `above` come before those of what is measured there.
    """
    columns = columns_of(width)
    every = [*above, *_every(view, past, looking.cursor, now, display, width)]
    lines = [spans_line(looking, past, now, zone, width)]
    left = rows - _AROUND - (1 if looking.cursor is not None or rows > _ROOMY else 0)
    shown = _chosen(every, looking.only, left)
    each = min(_MOST, max(_FEWEST, (left - len(shown)) // max(1, len(shown))))
    for item in shown:
        lines += [item.heading, *chart(item.plot, columns, each, LABELS, ascii_only)]
    if not shown:
        lines.append((Part(cut("There is no probe here, and so no curve.", width), Role.FAINT),))
    lines.append(marks_line(past.bins, past.marks, columns, "events", LABELS, ascii_only))
    lines.append(time_axis(past.bins, zone, columns, LABELS, ascii_only))
    if looking.cursor is not None:
        index = past.bins.index(looking.cursor)
        first = [] if index is None else [words for each in above if (words := each.at(index))]
        lines.append(cursor_line(past, looking.cursor, now, zone, display, width, first))
    elif rows > _ROOMY:
        lines.append(_legend(width, ascii_only))
    return lines


def curve_names(view: PlaceView) -> tuple[str, ...]:
    """The curves that a place has, in order."""
    names = [item.channel.quantity.value for item in view.channels]
    return (*names, "dew point") if len(names) == len(Quantity) else tuple(names)


def _chosen(every: Sequence[Shown], only: int | None, rows: int) -> Sequence[Shown]:
    """The one that was asked for, or the first few that there is room for."""
    if only is not None and every:
        return (every[only % len(every)],)
    return every[: max(1, rows // (_FEWEST + 1))]


def _every(
    view: PlaceView, past: Past, cursor: float | None, now: float, display: Display, width: int
) -> list[Shown]:
    shown = []
    for item in view.channels:
        quantity = item.channel.quantity
        found = past.measured[quantity]
        series = found.series
        plot = Plot(
            bins=past.bins,
            curves=(Curve(series.mean, series.low, series.high),),
            show=_show(quantity, display),
            least=_LEAST[quantity],
            low=found.low,
            high=found.high,
            cursor=cursor,
            bounds=_BOUNDS[quantity],
        )
        shown.append(Shown(heading(item, found, now, display, width), plot))
    if past.dew_point:
        value = "–" if view.dew_point is None else display.temperature(view.dew_point)
        head = (
            Part("dew point  ", Role.FAINT),
            Part(value, Role.STRONG),
            Part("  surfaces colder than this are wet", Role.FAINT),
        )
        plot = Plot(
            past.bins,
            (Curve(past.dew_point),),
            display.temperature,
            _LEAST[Quantity.TEMPERATURE],
            cursor=cursor,
        )
        shown.append(Shown(fit(head, width), plot))
    return shown


def _show(quantity: Quantity, display: Display) -> Callable[[float], str]:
    return display.temperature if quantity is Quantity.TEMPERATURE else display.humidity


def spans_line(looking: Looking, past: Past, now: float, zone: ZoneInfo, width: int) -> Line:
    """The spans, the chosen one in brackets, and where what is shown begins and ends."""
    ends = f"from {_moment(past.bins.since, now, zone)}"
    ends += f" to {_moment(past.bins.until, now, zone)}" if past.bins.until < now else " on"
    spans = tuple(part for _, part in span_parts(looking, width))
    return spread(spans, (Part(ends, Role.FAINT),), width)


def _moment(at: float, now: float, zone: ZoneInfo) -> str:
    """As people say it; with its year where that could be another one."""
    if abs(now - at) < _YEAR:
        return clock.moment(at, now, zone)
    there = clock.local(at, zone)
    return f"{there.day} {there:%b %Y}"


def heading(item: ChannelView, found: Measured, now: float, display: Display, width: int) -> Line:
    """A quantity: its value, its range and whose that is, and the time in range."""
    quantity, reading = item.channel.quantity, item.reading
    words = wording.reading_words(item.channel, reading, display)
    role = Role.STRONG
    if item.silent:
        since = "" if reading is None else f" for {clock.duration(now - reading.at)}"
        words, role = f"{words} silent{since}", Role.CAUTION
    elif item.misses:
        words, role = f"{words} {'LOW' if item.misses < 0 else 'HIGH'}", Role.ALERT
    label = quantity.value if width >= NARROW else _SHORT[quantity]
    left = [Part(f"{label}  ", Role.FAINT), Part(words, role)]
    limits = wording.range_words(quantity, item.range, display)
    if item.range.clash:
        left += [Part("  "), Part("clash", Role.CAUTION)]
    elif limits:
        left.append(Part(f"  {limits}"))
        if width >= NARROW:
            left.append(Part(f", {clean(wording.whose(item.range))}", Role.FAINT))
    right = spent_words(found.spent)
    if width_of(left) + 2 + len(right) > width:
        right = right.partition(",")[0]
    if width < NARROW:
        right = right.replace("in range", "in")
    return spread(tuple(left), (Part(right, Role.FAINT),), width)


def spent_words(spent: TimeInRange) -> str:
    """'in range 97 %, above 2 %, below 1 %'; empty where nothing could be judged.

    It is 'in range about 97 %' where the estimate in it could be seen.
    """
    if spent.part is None:
        return ""
    about = "about " if spent.estimated >= _SEEN * spent.judged else ""
    words = [f"in range {about}{_percent(spent.part)}"]
    for name, seconds in (("above", spent.above), ("below", spent.below)):
        if seconds:
            words.append(f"{name} {_percent(seconds / spent.judged)}")
    return ", ".join(words)


def _percent(part: float) -> str:
    """Whole per cent; what rounds to all or nothing but is not says so."""
    if 0 < part < 0.005:
        return "< 1 %"
    return "> 99 %" if 0.995 <= part < 1 else f"{part * 100:.0f} %"


def cursor_line(
    past: Past,
    at: float,
    now: float,
    zone: ZoneInfo,
    display: Display,
    width: int,
    first: Sequence[str] = (),
) -> Line:
    """What was read at the cursor, after what else is to be told, and what happened there."""
    index = past.bins.index(at)
    texts = [*first]
    if index is not None:
        for quantity, found in past.measured.items():
            show, series = _show(quantity, display), found.series
            texts.append(_at(show, series.low[index], series.mean[index], series.high[index]))
        dew = past.dew_point[index] if past.dew_point else None
        if dew is not None:
            texts.append(f"dew point {display.temperature(dew)}")
    moment = _moment(at, now, zone)
    values = ", ".join(text for text in texts if text) or "no reading"
    happened = [mark.words for mark in near(past.bins, past.marks, at)]
    more = f" · {'; '.join(happened)}" if happened else ""
    return (
        Part(f"{moment}  ", Role.STRONG),
        Part(cut(values + more, max(0, width - len(moment) - 2))),
    )


def _at(
    show: Callable[[float], str], low: float | None, mean: float | None, high: float | None
) -> str:
    if low is None or mean is None or high is None:
        return ""
    ends = [show(low).partition(" ")[0], show(high)]
    return show(mean) if show(low) == show(high) else f"{show(mean)} ({' to '.join(ends)})"


def _legend(width: int, ascii_only: bool) -> Line:
    signs = ("-", ":", ".", "^") if ascii_only else ("─", "░", "╌", "▴")
    names = ("mean", "lowest to highest", "range", "done")
    words = "  ".join(f"{sign} {name}" for sign, name in zip(signs, names, strict=True))
    return (Part(cut(f"{words}  ! alarm", width), Role.FAINT),)
