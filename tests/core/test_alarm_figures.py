"""The figures of alarms and channels over a span."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.exposure import Excursion, exposure
from cavewatch.core.alarms.figures import (
    DAY,
    HOUR,
    Nuisance,
    alarm_figures,
    forecast_figures,
)
from cavewatch.core.alarms.limits import Side
from cavewatch.core.alarms.table import State, Trigger, after
from cavewatch.core.ranges import Edge, Range
from cavewatch.core.reading import Channel, Quantity

MINUTE = 60.0
DAMP = Channel("lower cave", Quantity.HUMIDITY)
SAID = Explanation("invented", "invented", "invented", "invented", 4.0)
WIDE = Range(Edge(80.0, "tests"), Edge(90.0, "tests"))


class Log:
    """Transitions as the table allows them."""

    def __init__(self) -> None:
        self.transitions: list[Transition] = []
        self._states: dict[str, State] = {}

    def __call__(
        self, key: str, at: float, trigger: Trigger, priority: Priority = Priority.LOW
    ) -> None:
        before = self._states.get(key, State.NORM)
        state = self._states[key] = after(before, trigger)
        alarm = Alarm(key, state, priority, at, SAID)
        self.transitions.append(Transition(at, before, trigger, alarm))

    def raised_and_cleared(self, key: str, at: float, lasts: float) -> None:
        self(key, at, Trigger.ABNORMAL)
        self(key, at + lasts, Trigger.NORMAL)


@pytest.fixture
def log() -> Log:
    return Log()


def test_a_quiet_span_has_nothing_but_its_length() -> None:
    found = alarm_figures([], 0.0, 7 * DAY)
    assert (found.days, found.total, found.per_day) == (7.0, 0, 0.0)
    assert (found.busiest, found.flooded, found.raised) == (0, 0.0, ())
    assert (found.chattering, found.fleeting, found.stale, found.standing) == ((), (), (), ())


def test_alarms_are_counted_by_key_and_by_priority(log: Log) -> None:
    log("a", 0.0, Trigger.ABNORMAL, Priority.HIGH)
    log("b", HOUR, Trigger.ABNORMAL)
    log("b", 2 * HOUR, Trigger.NORMAL)
    log("b", 3 * HOUR, Trigger.ABNORMAL)
    found = alarm_figures(log.transitions, 0.0, 2 * DAY)
    assert found.raised == (("b", 2), ("a", 1))
    assert (found.total, found.per_day) == (3, 1.5)
    assert dict(found.priorities) == {Priority.LOW: 2, Priority.MEDIUM: 0, Priority.HIGH: 1}


def test_an_acknowledgement_and_a_suppressed_change_raise_nothing(log: Log) -> None:
    log("a", 0.0, Trigger.ABNORMAL)
    log("a", 1.0, Trigger.ACKNOWLEDGE)
    log("a", 2.0, Trigger.SHELVE)
    log("a", 3.0, Trigger.ABNORMAL)
    assert alarm_figures(log.transitions, 0.0, DAY).total == 1


def test_what_was_raised_before_the_span_stands_in_it_but_is_not_counted(log: Log) -> None:
    log("a", 0.0, Trigger.ABNORMAL)
    found = alarm_figures(log.transitions, HOUR, 2 * DAY)
    assert found.total == 0
    assert found.stale == ("a",)
    assert found.standing == ("a",)


@pytest.mark.parametrize(
    ("lasts", "stale"), [(DAY, ()), (DAY + 1, ("a",))], ids=["a day", "longer"]
)
def test_an_alarm_is_stale_when_it_stands_for_more_than_a_day(
    log: Log, lasts: float, stale: tuple[str, ...]
) -> None:
    log.raised_and_cleared("a", 0.0, lasts)
    assert alarm_figures(log.transitions, 0.0, 3 * DAY).stale == stale


def test_acknowledging_does_not_make_a_stale_alarm_young(log: Log) -> None:
    log("a", 0.0, Trigger.ABNORMAL)
    log("a", 20 * HOUR, Trigger.ACKNOWLEDGE)
    assert alarm_figures(log.transitions, 0.0, 2 * DAY).stale == ("a",)


def test_a_shelved_alarm_does_not_stand(log: Log) -> None:
    log("a", 0.0, Trigger.ABNORMAL)
    log("a", HOUR, Trigger.SHELVE)
    found = alarm_figures(log.transitions, 0.0, 3 * DAY)
    assert (found.stale, found.standing) == ((), ())


@pytest.mark.parametrize(
    ("apart", "chatters"), [(29.0, True), (30.0, False)], ids=["within a minute", "slower"]
)
def test_three_times_within_a_minute_is_chattering(log: Log, apart: float, chatters: bool) -> None:
    for n in range(3):
        log.raised_and_cleared("a", n * apart, 5.0)
    found = alarm_figures(log.transitions, 0.0, DAY)
    assert found.chattering == (("a",) if chatters else ())
    assert found.fleeting == (() if chatters else ("a",))


def test_alarms_of_different_keys_do_not_chatter_together(log: Log) -> None:
    for n, key in enumerate("abc"):
        log.raised_and_cleared(key, float(n), 20.0)
    assert alarm_figures(log.transitions, 0.0, DAY).chattering == ()


def test_fleeting_is_what_clears_unseen_within_seconds(log: Log) -> None:
    log.raised_and_cleared("short", 0.0, 9.0)
    log.raised_and_cleared("long", 0.0, 10.0)
    log("seen", 0.0, Trigger.ABNORMAL)
    log("seen", 1.0, Trigger.ACKNOWLEDGE)
    log("seen", 2.0, Trigger.NORMAL)
    assert alarm_figures(log.transitions, 0.0, DAY).fleeting == ("short",)


def test_what_counts_as_a_nuisance_can_be_set(log: Log) -> None:
    log.raised_and_cleared("a", 0.0, 30.0)
    strict = Nuisance(chatters=1, stale=10.0)
    found = alarm_figures(log.transitions, 0.0, DAY, strict)
    assert (found.chattering, found.stale) == (("a",), ("a",))


def test_a_flood_begins_with_the_eleventh_and_ends_when_fewer_than_five_are_left(log: Log) -> None:
    for n in range(11):
        log(f"{n}", n * 10.0, Trigger.ABNORMAL)
    found = alarm_figures(log.transitions, 0.0, DAY)
    assert found.busiest == 11
    # It begins at 100 s; the fifth from the end came at 60 s and is ten minutes old at 660 s.
    assert found.flooded == pytest.approx(560.0)


def test_ten_in_ten_minutes_are_no_flood(log: Log) -> None:
    for n in range(11):
        log(f"{n}", n * MINUTE, Trigger.ABNORMAL)
    found = alarm_figures(log.transitions, 0.0, DAY)
    assert (found.busiest, found.flooded) == (10, 0.0)


def test_a_flood_ends_with_the_span_at_the_latest(log: Log) -> None:
    for n in range(20):
        log(f"{n}", float(n), Trigger.ABNORMAL)
    assert alarm_figures(log.transitions, 0.0, 30.0).flooded == pytest.approx(20.0)


def test_two_floods_are_added_up(log: Log) -> None:
    for start in (0.0, 2 * HOUR):
        for n in range(11):
            log(f"{start} {n}", start, Trigger.ABNORMAL)
    assert alarm_figures(log.transitions, 0.0, DAY).flooded == pytest.approx(1200.0)


def test_a_forecast_is_a_hit_if_the_limits_own_alarm_follows(log: Log) -> None:
    log(f"{DAMP} low forecast", 0.0, Trigger.ABNORMAL)
    log(f"{DAMP} low", HOUR, Trigger.ABNORMAL)
    found = forecast_figures(log.transitions, 0.0, DAY, 2 * HOUR)
    assert (found.hits, found.false_calls, found.missed, found.lead) == (1, 0, 0, (HOUR,))


@pytest.mark.parametrize(
    ("key", "at"), [(f"{DAMP} high", HOUR), (f"{DAMP} low", 3 * HOUR)], ids=["other edge", "late"]
)
def test_a_forecast_that_nothing_follows_is_a_false_call(log: Log, key: str, at: float) -> None:
    log(f"{DAMP} low forecast", 0.0, Trigger.ABNORMAL)
    log(key, at, Trigger.ABNORMAL)
    found = forecast_figures(log.transitions, 0.0, DAY, 2 * HOUR)
    assert (found.hits, found.false_calls, found.missed, found.lead) == (0, 1, 1, ())


def test_only_limits_of_channels_can_be_missed_by_a_forecast(log: Log) -> None:
    for key in ("wheel 3 turn late", f"{DAMP} silent", f"{DAMP} drift low"):
        log(key, 0.0, Trigger.ABNORMAL)
    assert forecast_figures(log.transitions, 0.0, DAY, HOUR).missed == 0


def test_the_mean_is_weighted_with_time() -> None:
    found = exposure(DAMP, [(0.0, 80.0), (10.0, 90.0)], [], 0.0, 40.0, 100.0)
    assert found.mean == pytest.approx((80 * 10 + 90 * 30) / 40)
    assert (found.low, found.high, found.inside, found.longest) == (80.0, 90.0, 40.0, None)
    assert not found.ranged


def test_time_is_split_into_inside_above_and_below() -> None:
    series = [(0.0, 85.0), (10.0, 95.0), (40.0, 70.0), (60.0, 85.0)]
    found = exposure(DAMP, series, [(0.0, WIDE)], 0.0, 100.0, 100.0)
    assert (found.inside, found.above, found.below, found.unwatched) == (50.0, 30.0, 20.0, 0.0)
    assert found.longest == Excursion(Side.HIGH, 10.0, 30.0, 95.0)
    assert found.ranged


def test_the_worst_of_an_excursion_is_the_value_farthest_out() -> None:
    series = [(0.0, 79.0), (10.0, 75.0), (20.0, 78.0)]
    found = exposure(DAMP, series, [(0.0, WIDE)], 0.0, 30.0, 100.0)
    assert found.longest == Excursion(Side.LOW, 0.0, 30.0, 75.0)


def test_a_gap_is_not_watched_and_ends_an_excursion() -> None:
    series = [(0.0, 95.0), (100.0, 95.0)]
    found = exposure(DAMP, series, [(0.0, WIDE)], 0.0, 130.0, 20.0)
    assert (found.above, found.unwatched) == (40.0, 90.0)
    assert found.longest == Excursion(Side.HIGH, 0.0, 20.0, 95.0)


def test_a_sensor_without_a_value_is_not_watched() -> None:
    series = [(0.0, 85.0), (10.0, math.nan), (30.0, 85.0)]
    found = exposure(DAMP, series, [], 0.0, 40.0, 100.0)
    assert (found.inside, found.unwatched, found.low) == (20.0, 20.0, 85.0)


def test_a_channel_without_a_reading_has_no_mean() -> None:
    found = exposure(DAMP, [], [(0.0, WIDE)], 0.0, 60.0, 10.0)
    assert (found.low, found.mean, found.high, found.unwatched) == (None, None, None, 60.0)


def test_each_value_is_held_against_the_range_of_its_own_moment() -> None:
    narrow = Range(None, Edge(82.0, "tests"))
    series = [(0.0, 85.0), (50.0, 85.0)]
    found = exposure(DAMP, series, [(0.0, WIDE), (50.0, narrow)], 0.0, 100.0, 100.0)
    assert (found.inside, found.above) == (50.0, 50.0)


def test_a_value_on_the_edge_is_inside() -> None:
    assert exposure(DAMP, [(0.0, 90.0)], [(0.0, WIDE)], 0.0, 10.0, 10.0).above == 0.0


readings = st.lists(
    st.tuples(st.integers(-50, 250).map(float), st.floats(60, 100) | st.just(math.nan)), max_size=30
).map(lambda found: sorted(found, key=lambda reading: reading[0]))


@given(readings, st.integers(1, 300).map(float))
def test_every_second_of_the_span_is_accounted_for(
    series: list[tuple[float, float]], holds: float
) -> None:
    found = exposure(DAMP, series, [(-100.0, WIDE)], 0.0, 200.0, holds)
    assert found.inside + found.above + found.below + found.unwatched == pytest.approx(200.0)
    if found.low is not None and found.mean is not None and found.high is not None:
        assert found.low - 1e-9 <= found.mean <= found.high + 1e-9
    if found.longest is not None:
        assert found.longest.seconds <= found.above + found.below
