"""Time in range from roll-ups."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.ranges import Edge, Range
from cavewatch.core.series import Bin, Bins, Series
from cavewatch.core.time_in_range import TimeInRange, time_in_range


def limits(low: float | None, high: float | None) -> Range:
    return Range(*(None if edge is None else Edge(edge, "a style") for edge in (low, high)))


def series(*found: tuple[float, float, float] | None, length: float = 60.0) -> Series:
    """Lowest, mean, highest of each bin."""
    bins = (
        Bin(n * length, 1, each[1], each[0], each[2])
        for n, each in enumerate(found)
        if each is not None
    )
    return Series.of(Bins(0.0, length, len(found)), bins)


def test_each_bin_counts_where_it_lies() -> None:
    found = series((9, 9, 9), (11, 11, 11), (15, 15, 15), None)
    spent = time_in_range(found, [(0.0, limits(10, 14))], 240.0)
    assert spent == TimeInRange(inside=60, above=60, below=60, unranged=0, unwatched=60)
    assert spent.part == pytest.approx(1 / 3)


def test_a_value_on_an_edge_is_inside() -> None:
    found = series((10, 10, 10), (14, 14, 14), (10, 12, 14))
    assert time_in_range(found, [(0.0, limits(10, 14))], 180.0).inside == 180.0


def test_a_bin_that_an_edge_passes_through_is_shared_out_by_its_mean() -> None:
    even = time_in_range(series((10, 12, 14)), [(0.0, limits(None, 12))], 60.0)
    assert (even.inside, even.above) == pytest.approx((30, 30))
    # A short peak: lowest 10, highest 18, but a mean of 11, so that an eighth lies above it.
    peak = time_in_range(series((10, 11, 18)), [(0.0, limits(None, 11))], 60.0)
    assert peak.above == pytest.approx(60 / 8)


def test_the_present_ends_the_last_bin() -> None:
    spent = time_in_range(series((12, 12, 12), (12, 12, 12)), [(0.0, limits(10, 14))], 75.0)
    assert spent.inside == 75.0
    assert time_in_range(series(None, None), [], 75.0).unwatched == 75.0


def test_each_bin_is_held_against_the_range_of_its_time() -> None:
    found = series((12, 12, 12), (12, 12, 12), (12, 12, 12))
    ranges = [(0.0, limits(10, 14)), (60.0, limits(13, 14)), (120.0, limits(None, None))]
    spent = time_in_range(found, ranges, 180.0)
    assert (spent.inside, spent.below, spent.unranged) == (60.0, 60.0, 60.0)


def test_a_bin_in_which_the_range_changes_is_held_against_each_for_its_time() -> None:
    ranges = [(0.0, limits(10, 14)), (80.0, limits(13, 14)), (100.0, limits(None, 11))]
    spent = time_in_range(series((12, 12, 12), (12, 12, 12)), ranges, 120.0)
    assert (spent.inside, spent.below, spent.above) == (80.0, 20.0, 20.0)
    assert spent.estimated == 0.0


def test_what_was_shared_out_is_told() -> None:
    found = series((12, 12, 13), (12, 13, 15), (15, 15, 15), None)
    assert time_in_range(found, [(0.0, limits(10, 14))], 240.0).estimated == pytest.approx(60)


HOURLY = Series.of(
    Bins(0.0, 3600.0, 5 * 24),
    (Bin(3600.0 * n, 6, *[15.0 if n in (30, 31, 49) else 12.0] * 3) for n in range(5 * 24)),
)
"""Five days by the hour: two hours too warm in the second, one in the third."""


def test_days_with_an_edge_among_their_values_are_looked_at_by_the_hour() -> None:
    asked = []

    def closer(bins: Bins) -> Series:
        asked.append(bins)
        first, last = (HOURLY.bins.index(at) or 0 for at in (bins.since, bins.until))
        found = enumerate(HOURLY.mean[first:last])
        return Series.of(
            bins, (Bin(bins.since + 3600.0 * n, 6, v, v, v) for n, v in found if v is not None)
        )

    days = HOURLY.gathered(Bins(0.0, 86400.0, 5))
    spent = time_in_range(days, [(0.0, limits(10, 14))], 5 * 86400.0, closer)
    assert asked == [Bins(86400.0, 3600.0, 48)]
    assert (spent.above, spent.estimated) == (3 * 3600.0, 0.0)
    assert spent.judged == 5 * 86400.0


def test_very_many_such_days_are_estimated() -> None:
    def closer(bins: Bins) -> Series:
        raise AssertionError(bins)

    days = series(*[(11.0, 12.0, 15.0)] * 60, length=86400.0)
    spent = time_in_range(days, [(0.0, limits(10, 14))], 60 * 86400.0, closer)
    assert spent.estimated == spent.judged == pytest.approx(60 * 86400.0)


def test_a_clash_judges_nothing() -> None:
    spent = time_in_range(series((12, 12, 12)), [(0.0, limits(14, 10))], 60.0)
    assert spent.unranged == 60.0
    assert spent.part is None


VALUES = st.tuples(st.floats(0, 30), st.floats(0, 1), st.floats(0, 10)).map(
    lambda t: (t[0], t[0] + t[1] * t[2], t[0] + t[2])
)


@given(st.lists(st.none() | VALUES, min_size=1, max_size=20), st.floats(0, 20), st.floats(0, 20))
def test_all_time_is_spent_somewhere(
    found: list[tuple[float, float, float] | None], low: float, breadth: float
) -> None:
    until = len(found) * 60.0 - 13.0
    spent = time_in_range(series(*found), [(0.0, limits(low, low + breadth))], until)
    parts = (spent.inside, spent.above, spent.below, spent.unranged, spent.unwatched)
    assert sum(parts) == pytest.approx(until)
    assert all(part >= 0 for part in parts)


@given(VALUES, st.floats(-5, 45), st.floats(0, 5))
def test_a_higher_edge_leaves_less_above_it(
    found: tuple[float, float, float], edge: float, more: float
) -> None:
    first, second = (
        time_in_range(series(found), [(0.0, limits(None, at))], 60.0).above
        for at in (edge, edge + more)
    )
    assert second <= first + 1e-9
