"""How long a channel was inside its range, from roll-ups.

A roll-up says how low and how high its values went and what their mean was,
not how they were spread. They are taken to lie evenly between the lowest and
the mean, and evenly between the mean and the highest, in the shares that give
that mean. Only a stretch with an edge among its values is estimated so, and
never by more than its own length; longer ones are looked at by the hour first,
unless there are very many of them.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter

from cavewatch.core.ranges import Range
from cavewatch.core.series import Bins, Series

_HOUR = 3600.0
_CLOSELY = 1_000
"""So many hours at most are looked at for longer bins."""


@dataclass(frozen=True, slots=True)
class TimeInRange:
    """How a span was spent [s]."""

    inside: float
    """An edge that nobody sets is never passed."""
    above: float
    below: float
    unranged: float
    """With values, but nobody set an edge, or those who did clash."""
    unwatched: float
    """Without any value."""
    estimated: float = 0.0
    """So much of it lies in bins with an edge among their values, shared out by estimate."""

    @property
    def judged(self) -> float:
        """The time that could be judged [s]."""
        return self.inside + self.above + self.below

    @property
    def part(self) -> float | None:
        """The inside part of the time that could be judged, 0 to 1; None if none could."""
        return self.inside / self.judged if self.judged > 0 else None


def time_in_range(
    series: Series,
    ranges: Sequence[tuple[float, Range]],
    until: float,
    closer: Callable[[Bins], Series] | None = None,
) -> TimeInRange:
    """Judge the span of a series.

    Args:
        series: a bin with any value counts as watched for all its length.
        ranges: each with the time from which it holds [s since 1970 UTC], soonest
            first; a bin in which another begins is held against each for its time.
        until: the present [s since 1970 UTC]; what lies after it is left out.
        closer: gives the series in other bins. With it bins of some hours that have an
            edge among their values are judged by the hour, if they are not too many.
    """
    spent, estimated = defaultdict[str, float](float), defaultdict[str, float](float)
    passed = _judge(series, ranges, until, spent, estimated)
    hours = series.bins.length / _HOUR
    if closer is not None and hours > 1 and hours % 1 == 0 and len(passed) * hours <= _CLOSELY:
        estimated.clear()
        for run in _hourly(series.bins, passed):
            _judge(closer(run), ranges, until, spent, estimated)
    return TimeInRange(
        inside=spent["inside"] + estimated["inside"],
        above=spent["above"] + estimated["above"],
        below=spent["below"] + estimated["below"],
        unranged=spent["unranged"] + estimated["unranged"],
        unwatched=spent["unwatched"],
        estimated=estimated["inside"] + estimated["above"] + estimated["below"],
    )


def _judge(
    series: Series,
    ranges: Sequence[tuple[float, Range]],
    until: float,
    spent: dict[str, float],
    estimated: dict[str, float],
) -> list[int]:
    """Add how each bin is spent to `spent`, or to `estimated` where an edge is among its values.

    Returns:
        The numbers of the latter.
    """
    passed = []
    values = zip(series.low, series.mean, series.high, strict=True)
    held = _pieces(series.bins, ranges, until)
    for number, (found, pieces) in enumerate(zip(values, held, strict=True)):
        sides = [_side(*found, limits) for _, limits in pieces]
        if "" in sides:
            passed.append(number)
            for lasts, limits in pieces:
                for side, share in _shares(*found, limits):
                    estimated[side] += share * lasts
        else:
            for side, (lasts, _) in zip(sides, pieces, strict=True):
                spent[side] += lasts
    return passed


def _pieces(
    bins: Bins, ranges: Sequence[tuple[float, Range]], until: float
) -> Iterator[list[tuple[float, Range]]]:
    """Each bin in pieces for all of which one range holds: length [s] and range."""
    ahead = bisect_right(ranges, bins.since, key=itemgetter(0))
    limits = ranges[ahead - 1][1] if ahead else Range(None, None)
    for number in range(bins.count):
        begin = bins.since + number * bins.length
        end = min(begin + bins.length, until)
        pieces = []
        while ahead < len(ranges) and ranges[ahead][0] < end:
            change, after = ranges[ahead]
            if change > begin:
                pieces.append((change - begin, limits))
            begin, limits, ahead = change, after, ahead + 1
        yield [*pieces, (max(0.0, end - begin), limits)]


def _hourly(bins: Bins, numbers: Sequence[int]) -> Iterator[Bins]:
    """Some of the bins by the hour, those that follow one another together."""
    for _, run in groupby(enumerate(numbers), lambda each: each[1] - each[0]):
        found = [number for _, number in run]
        count = len(found) * bins.length / _HOUR
        yield Bins(bins.since + found[0] * bins.length, _HOUR, round(count))


def _side(low: float | None, mean: float | None, high: float | None, limits: Range) -> str:
    """Where all of these values lie, as `TimeInRange` names it; empty if an edge is among them."""
    if low is None or mean is None or high is None:
        return "unwatched"
    floor, ceiling = limits.low, limits.high
    if (floor is None and ceiling is None) or limits.clash:
        return "unranged"
    if (floor is None or floor.value <= low) and (ceiling is None or high <= ceiling.value):
        return "inside"
    if ceiling is not None and low > ceiling.value:
        return "above"
    return "below" if floor is not None and high < floor.value else ""


def _shares(
    low: float | None, mean: float | None, high: float | None, limits: Range
) -> Iterator[tuple[str, float]]:
    """The same with the part of the values that lies there."""
    side = _side(low, mean, high, limits)
    if side or low is None or mean is None or high is None:
        yield side, 1.0
        return
    over = 0.0 if limits.high is None else _above(limits.high.value, low, mean, high)
    under = 0.0 if limits.low is None else _above(-limits.low.value, -high, -mean, -low)
    yield from (("inside", max(0.0, 1.0 - over - under)), ("above", over), ("below", under))


def _above(edge: float, low: float, mean: float, high: float) -> float:
    """The part of values above an edge, 0 to 1, that go from low to high and have this mean."""
    if edge >= high:
        return 0.0
    if edge < low:
        return 1.0
    lower = (high - mean) / (high - low)
    if edge < mean:
        return 1.0 - lower * (edge - low) / (mean - low)
    return (1.0 - lower) * (high - edge) / (high - mean) if mean < high else 0.0
