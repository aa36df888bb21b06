"""Bins at fixed times, and what is gathered into them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.series import Bin, Bins, Series

DAY = 86400.0
MOMENTS = st.floats(0, 4e9)
SPANS = st.sampled_from([3600.0, DAY, 7 * DAY, 30 * DAY, 91 * DAY, 365 * DAY, 5 * 365 * DAY])
COUNTS = st.integers(16, 400)


@given(MOMENTS, SPANS, COUNTS)
def test_bins_before_a_moment_hold_it_last_and_cover_the_span(
    at: float, span: float, count: int
) -> None:
    bins = Bins.before(at, span, count)
    assert bins.count == count
    assert bins.until - bins.length <= at < bins.until
    assert bins.until - bins.since >= span
    assert bins.since % bins.length == 0


@given(MOMENTS, SPANS, COUNTS)
def test_a_bin_under_a_day_is_a_part_of_one_and_a_longer_one_is_whole_days(
    at: float, span: float, count: int
) -> None:
    length = Bins.before(at, span, count).length
    assert DAY % length == 0 or length % DAY == 0


@given(MOMENTS, st.floats(1, 1e8), COUNTS)
def test_bins_between_two_moments_reach_from_one_to_the_other(
    since: float, lasts: float, count: int
) -> None:
    bins = Bins.between(since, since + lasts, count)
    assert bins.since <= since < bins.since + bins.length
    assert bins.until >= since + lasts
    assert bins.count == count


def test_time_that_goes_on_within_a_bin_moves_none() -> None:
    first = Bins.before(1000 * DAY + 10, DAY, 96)
    assert first.length == 900
    assert Bins.before(1000 * DAY + 890, DAY, 96) == first
    assert Bins.before(1000 * DAY + 900, DAY, 96) == first.moved(1)


@given(st.integers(0, 47), st.floats(0, 0.999))
def test_a_moment_is_in_the_bin_that_it_lies_in(number: int, part: float) -> None:
    bins = Bins(7 * DAY, 1800.0, 48)
    assert bins.index(bins.since + (number + part) * 1800.0) == number
    assert bins.index(bins.since - 1) is None
    assert bins.index(bins.until) is None
    assert bins.middles[number] == bins.since + number * 1800.0 + 900.0


def test_finer_bins_divide_the_same_span() -> None:
    bins = Bins(0.0, 7200.0, 100)
    assert bins.finer(12_000) == Bins(0.0, 60.0, 12_000)
    assert bins.finer(11_999) == Bins(0.0, 300.0, 2400)
    assert bins.finer(2_399) == Bins(0.0, 3600.0, 200)
    assert bins.finer(10) == bins
    assert Bins(0.0, 30.0, 100).finer(12_000) == Bins(0.0, 30.0, 100)


def test_values_are_gathered_with_their_weight() -> None:
    series = Series.of(
        Bins(0.0, 60.0, 3),
        [
            Bin(0, 3, 10.0, 9.0, 11.0),
            Bin(30, 1, 14.0, 14.0, 14.0),
            Bin(120, 2, 5.0, 4.0, 6.0),
            Bin(180, 9, 99.0, 99.0, 99.0),
        ],
    )
    assert series.mean == (11.0, None, 5.0)
    assert series.low == (9.0, None, 4.0)
    assert series.high == (14.0, None, 6.0)


@given(st.lists(st.tuples(st.floats(0, 599), st.integers(1, 9), st.floats(-40, 80)), min_size=1))
def test_a_mean_lies_between_the_lowest_and_the_highest(
    found: list[tuple[float, int, float]],
) -> None:
    series = Series.of(Bins(0.0, 60.0, 10), [Bin(at, n, v, v, v) for at, n, v in found])
    for low, mean, high in zip(series.low, series.mean, series.high, strict=True):
        if low is not None and mean is not None and high is not None:
            assert low - 1e-9 <= mean <= high + 1e-9
    assert sum(mean is not None for mean in series.mean) == len(
        {math.floor(at / 60) for at, _, _ in found}
    )


READ = st.tuples(st.integers(0, 599), st.integers(1, 9), st.integers(0, 30))


@given(st.lists(READ, max_size=30))
def test_finer_bins_gather_into_what_longer_ones_would_have_been(
    found: list[tuple[int, int, int]],
) -> None:
    read = [Bin(at, n, v, v - 1.0, v + 1.0) for at, n, v in found]
    long = Bins(0.0, 120.0, 5)
    once, twice = Series.of(long, read), Series.of(Bins(0.0, 60.0, 10), read).gathered(long)
    assert (twice.bins, twice.low, twice.high, twice.n) == (long, once.low, once.high, once.n)
    assert twice.mean == pytest.approx(once.mean)
    assert once.gathered(long) is once
