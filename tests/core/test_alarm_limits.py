"""Limits with deadband and delays."""

import itertools
import math

from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.alarms.limits import (
    QUIET,
    Side,
    Tuning,
    Watch,
    calm,
    due,
    edge_of,
    lost,
    passed,
    watched,
)
from cavewatch.core.ranges import Edge, Range

LIMITS = Range(Edge(85.0, "a"), Edge(95.0, "b"))
TUNED = Tuning(deadband=3.0, on_delay=600.0, off_delay=300.0, low_low=70.0, high_high=99.0)


def run(values: list[tuple[float, float]], side: Side = Side.LOW) -> list[bool]:
    watch, seen = Watch(), []
    for at, value in values:
        watch = watched(watch, side, LIMITS, value, at, TUNED)
        seen.append(watch.abnormal)
    return seen


def test_a_door_open_for_five_minutes_raises_nothing() -> None:
    door = [(60.0 * minute, 70.0 if 1 <= minute <= 6 else 90.0) for minute in range(30)]
    assert not any(run(door))


def test_a_limit_passed_for_the_whole_delay_is_abnormal() -> None:
    assert run([(0, 84.9), (599, 84.9), (600, 84.9)]) == [False, False, True]


def test_a_value_on_the_edge_is_inside() -> None:
    assert run([(0, 85.0), (900, 85.0)]) == [False, False]
    assert run([(0, 95.0), (900, 95.0)], Side.HIGH) == [False, False]
    assert run([(0, 95.1), (900, 95.1)], Side.HIGH) == [False, True]


def test_it_is_normal_again_only_beyond_the_deadband_for_the_delay() -> None:
    low = [(0.0, 80.0), (600.0, 80.0)]
    assert run([*low, (700, 87.9), (2000, 87.9)])[-1]
    assert run([*low, (700, 88.0), (999, 88.0), (1000, 88.0)])[-2:] == [True, False]


def test_a_compressors_swing_beyond_the_edge_does_not_restart_the_delay() -> None:
    swing = [(60.0 * minute, 80.0 + minute % 3) for minute in range(12)]
    assert run(swing)[-1]


def test_time_alone_makes_it_abnormal_at_the_end_of_the_delay() -> None:
    watch = watched(QUIET, Side.LOW, LIMITS, 80.0, 100.0, TUNED)
    assert due(watch, Side.LOW, TUNED) == 700.0
    assert not passed(watch, Side.LOW, 699.0, TUNED).abnormal
    assert passed(watch, Side.LOW, 700.0, TUNED) == Watch(abnormal=True)


def test_a_delay_that_ran_out_between_two_readings_counts() -> None:
    assert run([(0, 80.0), (700, 90.0)]) == [False, True]


def test_after_a_silence_a_delay_begins_anew_and_what_is_abnormal_stays() -> None:
    assert lost(Watch(abnormal=False, turning_since=5.0)) == QUIET
    assert lost(Watch(abnormal=True, turning_since=5.0)) == Watch(abnormal=True)


def test_without_an_edge_nothing_is_abnormal() -> None:
    watch = watched(Watch(abnormal=True), Side.LOW, Range(None, None), 0.0, 0.0, TUNED)
    assert not watch.abnormal


def test_the_outer_edges_are_those_of_the_config_and_sooner() -> None:
    assert edge_of(LIMITS, Side.LOW_LOW, TUNED) == Edge(70.0, "config")
    assert edge_of(LIMITS, Side.HIGH_HIGH, TUNED) == Edge(99.0, "config")
    assert edge_of(LIMITS, Side.HIGH_HIGH, Tuning(1.0, 1.0, 1.0)) is None
    assert run([(0, 69.0), (120, 69.0)], Side.LOW_LOW) == [False, True]


@given(st.lists(st.floats(0, 100), min_size=1, max_size=60))
def test_it_never_changes_faster_than_its_delays(values: list[float]) -> None:
    seen = run([(60.0 * index, value) for index, value in enumerate(values)])
    changes = [i for i in range(1, len(seen)) if seen[i] != seen[i - 1]]
    for before, later in itertools.pairwise(changes):
        assert (later - before) * 60.0 >= TUNED.off_delay


@given(
    st.dictionaries(st.sampled_from(Side), st.booleans(), min_size=4),
    st.sampled_from([LIMITS, Range(None, LIMITS.high), Range(LIMITS.low, None)]),
    st.floats(60, 110),
)
def test_a_calm_value_changes_no_watch(
    states: dict[Side, bool], limits: Range, value: float
) -> None:
    watches = {side: Watch(abnormal) for side, abnormal in states.items()}
    low, high = calm(watches.items(), limits, TUNED)
    if low < value < high:
        for side, watch in watches.items():
            assert watched(watch, side, limits, value, 1e9, TUNED) is watch


def test_a_normal_channel_is_calm_between_its_edges_and_never_while_a_watch_turns() -> None:
    quiet = dict.fromkeys(Side, QUIET)
    assert calm(quiet.items(), LIMITS, TUNED) == (85.0, 95.0)
    assert calm(quiet.items(), Range(None, None), Tuning(1, 1, 1)) == (-math.inf, math.inf)
    low, high = calm([(Side.LOW, Watch(turning_since=1.0))], LIMITS, TUNED)
    assert not low < high
