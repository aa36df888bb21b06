"""The time axis: local times at round moments, each at its own column."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from cavewatch.clock import local
from cavewatch.core.series import Bins
from cavewatch.screens.curves.raster import ACROSS
from cavewatch.screens.lines import Line, Part, Role

_MINUTE, _DAY = 60, 86400
_MONDAY = 1
"""A Monday, as its date's ordinal."""
_SHIFT = timedelta(hours=3)
"""No clock is put forward or back by more."""


@dataclass(frozen=True, slots=True)
class _Step:
    """How far apart the named moments are."""

    seconds: int
    """At least [s]."""
    months: int = 0
    """For those of a month or more: how many."""
    days: int = 1
    """For those of a day or more: every how many; of seven, the Mondays."""


_STEPS = (
    *(_Step(n * _MINUTE) for n in (1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720)),
    *(_Step(_DAY * n, days=n) for n in (1, 2, 3, 7)),
    *(_Step(28 * _DAY * n, months=n) for n in (1, 2, 3, 6, 12, 24, 60)),
)


def time_axis(
    bins: Bins, zone: ZoneInfo, columns: int, labels: int = 9, ascii_only: bool = False
) -> Line:
    """One line under a chart: as many round local times as there is room for.

    Each stands to the right of its mark, which is in the column of its moment;
    the arguments are those of the chart.
    """
    names: dict[int, str] = {}
    for step in _STEPS:
        if (bins.until - bins.since) / step.seconds <= columns:
            names = dict(_named(bins, zone, step))
            if names and _fits(names, columns):
                break
    tick = "|" if ascii_only else "╵"
    words = ""
    for column, name in sorted(names.items()):
        if column >= len(words) and column + 1 + len(name) <= columns:
            words = words.ljust(column) + tick + name
    return (Part(" " * (labels + 1)), Part(words.ljust(columns), Role.FAINT))


def _fits(names: dict[int, str], columns: int) -> bool:
    """Whether a blank is left between neighbours."""
    at = sorted(names)
    return all(
        column + len(names[column]) + 1 < following
        for column, following in zip(at, [*at[1:], columns + 99], strict=True)
    )


def _named(bins: Bins, zone: ZoneInfo, step: _Step) -> Iterator[tuple[int, str]]:
    """Column and name of each round moment."""
    days = (bins.until - bins.since) / _DAY
    for moment in _moments(bins, zone, step):
        index = bins.index(moment.timestamp())
        if index is not None:
            yield index // ACROSS, _name(moment, step, days)


def _moments(bins: Bins, zone: ZoneInfo, step: _Step) -> Iterator[datetime]:
    first = local(bins.since, zone).replace(hour=0, minute=0, second=0, microsecond=0, fold=0)
    last = local(bins.until, zone)
    if step.months:
        year, month = first.year, 1
        while (year, month) <= (last.year, last.month):
            yield first.replace(year=year, month=month, day=1)
            year, month = year + (month + step.months - 1) // 12, (month + step.months - 1) % 12 + 1
        return
    earliest = local(bins.since, zone).replace(tzinfo=None) - _SHIFT
    latest = last.replace(tzinfo=None) + _SHIFT
    day = first
    while day <= last:
        if step.seconds >= _DAY:
            if (day.toordinal() - _MONDAY) % step.days == 0:
                yield day
        else:
            for second in range(0, _DAY, step.seconds):
                moment = day + timedelta(seconds=second)
                near = earliest <= moment.replace(tzinfo=None) <= latest
                if near and not _skipped(moment, zone):
                    yield moment
        day += timedelta(days=1)


def _skipped(moment: datetime, zone: ZoneInfo) -> bool:
    """True for a wall time that the clock skips in spring."""
    shown = local(moment.timestamp(), zone)
    return shown.replace(tzinfo=None) != moment.replace(tzinfo=None)


def _name(moment: datetime, step: _Step, days: float) -> str:
    if step.months:
        return f"{moment:%Y}" if moment.month == 1 else f"{moment:%b}"
    if moment.hour or moment.minute:
        return f"{moment:%H:%M}"
    return f"{moment:%a} {moment.day}" if days < 10 else f"{moment.day} {moment:%b}"
