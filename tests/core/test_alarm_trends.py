"""Means in blocks, slow drift, rate of change, predicted crossings."""

import math
import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.alarms.drift import DAY, drifted
from cavewatch.core.alarms.forecast import AGREE, Foretold, crossing, foretold, line
from cavewatch.core.alarms.limits import Side, Tuning
from cavewatch.core.alarms.means import BLOCK, Block, block, mean
from cavewatch.core.alarms.rate import slope, too_fast
from cavewatch.core.countdown import Span
from cavewatch.core.ranges import Edge, Range

CAVE = Range(Edge(10.0, "a"), Edge(14.0, "a"))
TUNED = Tuning(deadband=0.3, on_delay=600.0, off_delay=300.0, rate=2.0)
HOUR = 3600.0
DAYLONG = int(DAY / BLOCK)


def blocks(values: list[float], alarmed: bool = False) -> list[Block]:
    return [Block(n * BLOCK, value, BLOCK, alarmed) for n, value in enumerate(values)]


def end(found: list[Block]) -> float:
    return found[-1].at + BLOCK


# Means


def test_a_mean_is_weighted_with_the_time_for_which_each_value_held() -> None:
    found = block([(-50.0, 10.0), (100.0, 20.0), (200.0, 0.0)], 0.0, holds=1000.0)
    assert found == Block(0.0, (100 * 10.0 + 100 * 20.0 + 100 * 0.0) / 300, 300.0)


def test_a_value_counts_no_longer_than_it_holds() -> None:
    assert block([(0.0, 10.0), (290.0, 99.0)], 0.0, holds=200.0) == Block(
        0.0, (200 * 10.0 + 10 * 99.0) / 210, 210.0
    )
    assert block([(0.0, 10.0)], 0.0, holds=100.0) is None


@given(st.lists(st.tuples(st.floats(1, 200), st.floats(-20, 40)), min_size=1, max_size=20))
def test_a_mean_lies_between_the_values(steps: list[tuple[float, float]]) -> None:
    series, at = [], 0.0
    for gap, value in steps:
        series.append((at, value))
        at += gap
    found = block(series, 0.0, holds=250.0)
    if found is not None:
        values = [value for _, value in series]
        assert min(values) - 1e-9 <= found.mean <= max(values) + 1e-9
        assert BLOCK / 2 <= found.seconds <= BLOCK + 1e-6


def test_a_mean_of_a_span_of_which_too_little_is_known_is_none() -> None:
    known = blocks([12.0] * 10)
    assert mean(known, 0.0, 10 * BLOCK) == 12.0
    assert mean(known, 0.0, 20 * BLOCK) is None


# Drift

CYCLE = [14.6, 14.4, 13.8, 13.9]
"""A compressor about the high edge; mean 14.175."""


def test_a_cave_that_swings_about_its_edge_all_day_drifts() -> None:
    found = blocks(CYCLE * (DAYLONG // 4))
    out = drifted(found, end(found), CAVE, TUNED, None)
    assert out is not None
    assert out[0] is Side.HIGH
    assert out[1] == pytest.approx(14.175)


def test_a_day_that_is_not_known_to_three_quarters_does_not_drift() -> None:
    found = blocks(CYCLE * (DAYLONG // 8))
    assert drifted(found, end(found), CAVE, TUNED, None) is None


def test_a_day_that_was_out_for_what_is_over_does_not_drift() -> None:
    found = blocks([16.0] * (DAYLONG - 30) + [12.0] * 30)
    assert drifted(found, end(found), CAVE, TUNED, None) is None


def test_a_limit_alarm_says_it_all_and_drift_says_nothing() -> None:
    found = blocks([16.0] * DAYLONG, alarmed=True)
    assert drifted(found, end(found), CAVE, TUNED, None) is None


def test_a_drift_ends_by_the_deadband_only() -> None:
    found = blocks([13.9] * DAYLONG)
    assert drifted(found, end(found), CAVE, TUNED, None) is None
    assert drifted(found, end(found), CAVE, TUNED, Side.HIGH) is not None
    inside = blocks([13.6] * DAYLONG)
    assert drifted(inside, end(inside), CAVE, TUNED, Side.HIGH) is None


def test_a_low_mean_drifts_low_and_none_is_told_where_it_is_switched_off() -> None:
    found = blocks([9.9] * DAYLONG)
    out = drifted(found, end(found), CAVE, TUNED, None)
    assert out is not None
    assert out[0] is Side.LOW
    assert drifted(found, end(found), CAVE, replace(TUNED, drift=False), None) is None


# Rate


def test_a_slope_is_per_hour() -> None:
    assert slope(blocks([10.0 + 0.1 * n for n in range(12)])) == pytest.approx(1.2)


@pytest.mark.parametrize(("way", "start"), [(1, 12.5), (-1, 11.5)])
def test_a_fast_change_away_from_the_middle_is_told(way: int, start: float) -> None:
    found = blocks([start + way * 0.2 * n for n in range(12)])
    assert too_fast(found, end(found), CAVE, TUNED, was=False) == pytest.approx(way * 2.4)


def test_a_fast_return_to_the_middle_is_not() -> None:
    found = blocks([18.0 - 0.2 * n for n in range(12)])
    assert too_fast(found, end(found), CAVE, TUNED, was=False) is None


def test_a_door_open_for_five_minutes_is_no_rate() -> None:
    for n in range(12):
        found = blocks([12.0] * n + [17.0] + [12.0] * (11 - n))
        assert too_fast(found, end(found), CAVE, TUNED, was=False) is None


def test_a_rate_ends_at_half_its_limit_and_never_shows_without_one() -> None:
    found = blocks([12.5 + 0.1 * n for n in range(12)])
    assert too_fast(found, end(found), CAVE, TUNED, was=False) is None
    assert too_fast(found, end(found), CAVE, TUNED, was=True) == pytest.approx(1.2)
    steep = blocks([12.5 + n for n in range(12)])
    assert too_fast(steep, end(steep), CAVE, replace(TUNED, rate=None), was=False) is None


# Forecast


def test_a_steady_rise_is_foretold_with_its_time() -> None:
    found = blocks([12.0 + 1.5 * n / 24 for n in range(24)])
    ahead = crossing(found, end(found), CAVE, TUNED)
    assert ahead is not None
    side, left = ahead
    assert side is Side.HIGH
    # 2 degrees at 0.75 an hour, from the middle of the first block, of which 2 h less half a
    # block are over.
    assert left.expected == pytest.approx(2.0 / 0.75 * HOUR - 2 * HOUR + BLOCK / 2, abs=1.0)
    assert left.low <= left.expected <= left.high


@given(st.integers(0, 2**32), st.floats(0.3, 1.5), st.floats(0.0, 0.06))
def test_what_is_foretold_of_a_noisy_rise_comes_true_within_its_band(
    seed: int, per_hour: float, noise: float
) -> None:
    rng = random.Random(seed)
    start = 14.0 - 3.0 * per_hour
    found = blocks(
        [start + per_hour * (n + 0.5) * BLOCK / HOUR + rng.gauss(0.0, noise) for n in range(24)]
    )
    ahead = crossing(found, end(found), CAVE, TUNED)
    if ahead is not None:
        _, left = ahead
        slack = 2 * (left.high - left.expected) + 1.0
        assert abs(left.expected - HOUR) <= slack


def test_a_step_is_never_foretold() -> None:
    for n in range(1, 24):
        for height in (0.5, 1.0, 3.0):
            found = blocks([12.0] * n + [12.0 + height] * (24 - n))
            assert crossing(found, end(found), CAVE, TUNED) is None


def test_a_compressors_swing_is_never_foretold() -> None:
    wave = [12.5 + 0.8 * math.sin(n / 2.0) for n in range(200)]
    for n in range(24, 200):
        found = blocks(wave[:n])
        assert crossing(found, end(found), CAVE, TUNED) is None


def test_a_rise_that_has_come_to_rest_is_not_foretold() -> None:
    found = blocks([12.0 + 1.5 * n / 24 for n in range(18)] + [13.1] * 6)
    assert crossing(found, end(found), CAVE, TUNED) is None


def test_a_crossing_further_off_than_the_line_is_long_is_not_foretold() -> None:
    found = blocks([11.0 + 0.5 * n / 24 for n in range(24)])
    assert crossing(found, end(found), CAVE, TUNED) is None


def test_what_is_over_or_alarmed_or_full_of_gaps_is_not_foretold() -> None:
    rise = [12.0 + 1.5 * n / 24 for n in range(24)]
    assert crossing(blocks(rise, alarmed=True), 24 * BLOCK, CAVE, TUNED) is None
    gap = blocks(rise)
    del gap[5]
    assert crossing(gap, 24 * BLOCK, CAVE, TUNED) is None
    over = blocks([value + 3.0 for value in rise])
    assert crossing(over, end(over), CAVE, TUNED) is None


def test_a_line_tells_its_fit() -> None:
    assert line(blocks([1.0, 2.0, 3.0])).fit == pytest.approx(1.0)
    assert line(blocks([1.0, 2.0, 1.0])).fit == pytest.approx(0.0)
    assert line(blocks([5.0, 5.0, 5.0])).fit == 0.0


def test_several_blocks_must_agree_before_it_is_told_and_before_it_is_taken_back() -> None:
    ahead = Side.HIGH, Span(1.0, 2.0, 3.0)
    known = Foretold()
    for n in range(AGREE):
        assert known.side is None, n
        known = foretold(known, ahead)
    assert known == Foretold(*ahead)
    for _ in range(AGREE - 1):
        known = foretold(known, None)
        assert known.side is Side.HIGH
    assert foretold(known, ahead) == Foretold(*ahead)
    assert foretold(known, None).side is None
