"""Values over time in bins of equal length, whose ends are at fixed times.

A bin begins at a multiple of its length since 1970 UTC, whatever the moment at
which it is asked for: a new value changes the last bin and moves none.
"""

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple, Self

Values = Sequence[float | None]
"""One for each bin; None where there is none."""

_MINUTE, _HOUR, _DAY = 60.0, 3600.0, 86400.0
LENGTHS = (
    *(1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0),
    *(n * _MINUTE for n in (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 30)),
    *(n * _HOUR for n in (1, 1.5, 2, 3, 4, 6, 8, 12)),
)
"""How long a bin under a day may be [s]: a part of a day, so that all days look alike."""


@dataclass(frozen=True, slots=True)
class Bins:
    """So many equal stretches of time, one after the other."""

    since: float
    """Where the first begins [s since 1970 UTC]."""
    length: float
    """Of each [s]."""
    count: int

    @classmethod
    def before(cls, at: float, span: float, count: int) -> Self:
        """The bins that end with the one which holds `at`, the shortest that cover the span [s]."""
        length = next(each for each in _lengths() if each * count >= span)
        end = (at // length + 1) * length
        return cls(end - count * length, length, count)

    @classmethod
    def between(cls, since: float, until: float, count: int) -> Self:
        """The bins that begin with the one which holds `since` and reach beyond `until`."""
        for length in _lengths():
            first = since // length * length
            if first + count * length >= until:
                break
        return cls(first, length, count)

    @property
    def until(self) -> float:
        """Where the last ends [s since 1970 UTC]."""
        return self.since + self.count * self.length

    @property
    def middles(self) -> tuple[float, ...]:
        """The middle of each [s since 1970 UTC]."""
        return tuple(self.since + (n + 0.5) * self.length for n in range(self.count))

    def index(self, at: float) -> int | None:
        """Which of them holds this moment; None if it lies outside."""
        found = int((at - self.since) // self.length)
        return found if 0 <= found < self.count else None

    def finer(self, most: int) -> Self:
        """The same span in finer bins that divide these: of 1 or 5 min, an hour, or a day.

        The finest of which there are at most so many; these same ones where that cannot be.
        """
        for length in (_MINUTE, 5 * _MINUTE, _HOUR, _DAY):
            count = self.count * self.length / length
            if self.length % length == 0 and count <= most:
                return type(self)(self.since, length, round(count))
        return self

    def moved(self, by: int) -> Self:
        """As many bins later, or earlier if negative."""
        return type(self)(self.since + by * self.length, self.length, self.count)


class Bin(NamedTuple):
    """What a channel read over one stretch of time; a week has 10,080 minutes: tuples are quick."""

    at: float
    """When it begins [s since 1970 UTC]."""
    n: int
    """Number of readings with a value, at least 1."""
    mean: float
    """In the channel's unit, as are `low` and `high`."""
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Series:
    """The lowest, mean and highest value of each bin."""

    bins: Bins
    low: Values
    mean: Values
    high: Values
    n: Sequence[int]
    """How many readings each is made of."""

    @classmethod
    def of(cls, bins: Bins, found: Iterable[Bin]) -> Self:
        """What was found, each in the bin that holds its beginning; the rest is left out."""
        since, length, last = bins.since, bins.length, bins.count
        low, high = [math.inf] * last, [-math.inf] * last
        total, count = [0.0] * last, [0] * last
        for at, n, mean, lowest, highest in found:
            index = int((at - since) // length)
            if 0 <= index < last:
                low[index] = min(low[index], lowest)
                high[index] = max(high[index], highest)
                total[index] += mean * n
                count[index] += n
        return cls(
            bins,
            tuple(v if n else None for v, n in zip(low, count, strict=True)),
            tuple(v / n if n else None for v, n in zip(total, count, strict=True)),
            tuple(v if n else None for v, n in zip(high, count, strict=True)),
            tuple(count),
        )

    def gathered(self, bins: Bins) -> "Series":
        """The same in longer bins, which these divide."""
        return self if bins == self.bins else Series.of(bins, self._found())

    def _found(self) -> Iterator[Bin]:
        at, length = self.bins.since, self.bins.length
        for n, mean, low, high in zip(self.n, self.mean, self.low, self.high, strict=True):
            if mean is not None and low is not None and high is not None:
                yield Bin(at, n, mean, low, high)
            at += length


def _lengths() -> Iterator[float]:
    """How long a bin may be, from the shortest: parts of a day, then whole days [s]."""
    yield from LENGTHS
    for days in itertools.count(1):
        yield days * _DAY
