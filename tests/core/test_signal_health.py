"""The status of a signal, told from its readings (NAMUR NE 107)."""

import math
import random
from collections.abc import Callable, Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.journal import Against, SensorChecked
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus, judged
from cavewatch.core.signal.health import Signal, Why, health
from cavewatch.core.signal.record import UNKNOWN, Calibration, SensorRecord

WARMTH = Channel("lower cave", Quantity.TEMPERATURE)
DAMP = Channel("lower cave", Quantity.HUMIDITY)
GOOD = (SignalStatus.GOOD, None)
HOUR, DAY = 3600.0, 86_400.0


def told(
    channel: Channel,
    values: Iterable[tuple[float, float | None]],
    record: SensorRecord = UNKNOWN,
) -> list[tuple[SignalStatus, Why | None]]:
    """Status and reason of each reading."""
    signal: Signal | None = None
    found = []
    for at, value in values:
        signal, status, why = health(signal, judged(channel, at, value), record)
        found.append((status, why))
    return found


def every(
    step: float, lasting: float, value: Callable[[float], float], begin: float = 0.0
) -> list[tuple[float, float]]:
    count = int(lasting / step)
    return [(begin + step * n, value(begin + step * n)) for n in range(count)]


def lively(at: float) -> float:
    """A cave with a compressor that comes and goes, and a sensor that tells hundredths."""
    chance = random.Random(at)
    return round(12.0 + 0.5 * math.sin(at / 190.0) + chance.gauss(0.0, 0.03), 2)


def test_a_cave_with_a_compressor_is_good() -> None:
    assert set(told(WARMTH, every(10.0, 2 * DAY, lively))) == {GOOD}


@pytest.mark.parametrize("step", [10.0, 30.0, 300.0])
def test_a_door_open_for_five_minutes_leaves_the_signal_good(step: float) -> None:
    def damp(at: float) -> float:
        out = min(max(at - HOUR, 0.0), 300.0) - min(max(at - HOUR - 300.0, 0.0), 300.0)
        return round(90.0 - 18.0 * out / 300.0 + random.Random(at).gauss(0.0, 0.3), 1)

    assert set(told(DAMP, every(step, 3 * HOUR, damp))) == {GOOD}


@pytest.mark.parametrize("value", [None, math.nan, -127.0, 85.0])
def test_no_value_or_an_impossible_one_is_a_failure(value: float | None) -> None:
    assert told(WARMTH, [(0.0, 12.0), (10.0, value), (20.0, 12.0)]) == [
        GOOD,
        (SignalStatus.FAILURE, Why.NO_VALUE),
        GOOD,
    ]


def test_a_single_spike_is_in_doubt_and_nothing_else_is() -> None:
    values = every(10.0, HOUR, lively)
    values[100] = (1000.0, 25.0)
    found = told(WARMTH, values)
    assert found[100] == (SignalStatus.OUT_OF_SPECIFICATION, Why.JUMP)
    assert {each for n, each in enumerate(found) if n != 100} == {GOOD}


def test_a_leap_that_stays_is_believed_after_a_minute() -> None:
    found = told(WARMTH, every(10.0, 300.0, lambda at: 12.0 if at < 100.0 else 20.0))
    assert {why for _, why in found[10:16]} == {Why.JUMP}
    assert set(found[16:]) == {GOOD}


def test_a_leap_after_a_long_pause_is_believed_at_once() -> None:
    assert told(WARMTH, [(0.0, 12.0), (DAY, 25.0)]) == [GOOD, GOOD]


def test_a_value_that_wanders_while_in_doubt_stays_in_doubt() -> None:
    values = [(0.0, 12.0), *((10.0 * n, 20.0 + 10.0 * (n % 2)) for n in range(1, 20))]
    assert GOOD not in told(WARMTH, values)[1:]


@pytest.mark.parametrize(("channel", "limit"), [(WARMTH, 0.7), (DAMP, 3.0)])
def test_noise_counts_from_its_limit_on_even_on_a_moving_value(
    channel: Channel, limit: float
) -> None:
    def shaken(by: float) -> set[Why | None]:
        chance = random.Random(1)
        values = every(10.0, HOUR, lambda at: 40.0 + at / 600.0 + chance.gauss(0.0, by * limit))
        return {why for _, why in told(channel, values)[120:]}

    assert shaken(0.4) == {None}
    assert Why.NOISE in shaken(2.5)
    assert shaken(2.5) <= {Why.NOISE, Why.JUMP}


def test_noise_passes_when_the_contact_holds_again() -> None:
    chance = random.Random(2)
    values = every(10.0, 3 * HOUR, lambda at: 12.0 + (chance.gauss(0.0, 1.5) if at < HOUR else 0.0))
    found = told(WARMTH, values)
    assert found[359][1] in (Why.NOISE, Why.JUMP)
    assert set(found[540:]) == {GOOD}


def test_the_flicker_of_whole_degrees_fahrenheit_is_no_noise() -> None:
    values = every(10.0, HOUR, lambda at: (54.0 + (at // 10.0) % 2 - 32.0) / 1.8)
    assert set(told(WARMTH, values)) == {GOOD}


def test_a_lively_sensor_that_stands_still_is_stuck_after_three_hours() -> None:
    begin = 2 * DAY
    found = told(WARMTH, every(10.0, begin + 4 * HOUR, lambda at: lively(min(at, begin))))
    still = int(begin / 10.0)
    assert set(found[: still + 1079]) == {GOOD}
    assert set(found[still + 1081 :]) == {(SignalStatus.OUT_OF_SPECIFICATION, Why.STUCK)}


def test_a_coarse_sensor_in_a_calm_tub_is_not_stuck() -> None:
    def tub(at: float) -> float:
        return round(12.0 + 0.4 * math.sin(2 * math.pi * at / DAY))

    def half_degrees(at: float) -> float:
        return round(2 * (12.2 + 0.4 * math.sin(2 * math.pi * at / DAY))) / 2

    assert set(told(WARMTH, every(60.0, 5 * DAY, half_degrees))) == {GOOD}
    assert {why for _, why in told(WARMTH, every(60.0, 23 * HOUR, tub))} == {None}


def test_a_new_channel_is_given_a_day_before_it_is_stuck() -> None:
    found = told(WARMTH, every(60.0, 26 * HOUR, lambda _: 12.0))
    assert set(found[: 24 * 60]) == {GOOD}
    assert {why for _, why in found[24 * 60 :]} == {Why.STUCK}


def test_equal_values_before_and_after_a_gap_of_three_days_are_not_stuck() -> None:
    values = every(60.0, 2 * DAY, lively)
    late = [(values[-1][0] + 3 * DAY, values[-1][1]), (values[-1][0] + 3 * DAY + 60.0, 12.0)]
    assert told(WARMTH, [*values, *late])[-2:] == [GOOD, GOOD]


def test_a_humidity_sensor_is_wet_after_an_hour_near_100_until_it_is_dry() -> None:
    def damp(at: float) -> float:
        base = 99.7 if at < 2 * HOUR else 98.6 if at < 3 * HOUR else 96.0
        return base + 0.1 * ((at // 60.0) % 2)

    found = told(DAMP, every(60.0, 4 * HOUR, damp))
    assert {why for _, why in found[:61]} == {None}
    assert {why for _, why in found[61:180]} == {Why.WET}
    assert set(found[180:]) == {GOOD}


def test_above_100_percent_is_wet_at_once() -> None:
    assert told(DAMP, [(0.0, 103.0)]) == [(SignalStatus.OUT_OF_SPECIFICATION, Why.WET)]


def test_a_stored_status_is_no_reason_of_its_own() -> None:
    stored = Reading(DAMP, 0.0, 90.0, SignalStatus.OUT_OF_SPECIFICATION)
    assert health(None, stored)[1:] == GOOD


def record(fit: bool = True, tests: tuple[tuple[float, float], ...] = ()) -> SensorRecord:
    point = SensorChecked(str(DAMP), Against.TABLE_SALT, 74.0, 1.5, 0.5, fit)
    return SensorRecord((), (Calibration(0.0, (point,)),), tests)


def test_a_tested_sensor_is_a_function_check_whatever_it_says() -> None:
    tested = record(tests=((100.0, 200.0),))
    found = told(DAMP, [(90.0, 90.0), (100.0, 30.0), (199.0, 104.0), (600.0, 90.0)], tested)
    check = (SignalStatus.CHECK, Why.TESTED)
    assert found == [GOOD, check, check, GOOD]


def test_a_failure_is_told_before_a_test() -> None:
    assert told(DAMP, [(150.0, None)], record(tests=((100.0, 200.0),)))[0][1] is Why.NO_VALUE


def test_an_unfit_sensor_is_out_of_specification() -> None:
    assert told(DAMP, [(10.0, 90.0)], record(fit=False)) == [
        (SignalStatus.OUT_OF_SPECIFICATION, Why.UNFIT)
    ]


def test_maintenance_is_required_half_a_year_after_a_check() -> None:
    old = (SignalStatus.MAINTENANCE, Why.CHECK_OLD)
    assert told(DAMP, [(179 * DAY, 90.0), (181 * DAY, 90.0)], record()) == [GOOD, old]


def test_a_sensor_that_was_never_checked_is_good() -> None:
    assert told(DAMP, [(0.0, 90.0), (900 * DAY, 90.0)]) == [GOOD, GOOD]


values = st.one_of(st.none(), st.floats(-50.0, 120.0))


@given(st.lists(st.tuples(st.floats(0.0, 1e6), values), max_size=40), st.sampled_from(Quantity))
def test_late_and_repeated_readings_teach_nothing(
    heard: list[tuple[float, float | None]], quantity: Quantity
) -> None:
    channel = Channel("cave", quantity)
    signal: Signal | None = None
    for at, value in sorted(heard, key=lambda each: each[0]):
        signal, *first = health(signal, judged(channel, at, value))
        assert first[0] in SignalStatus
        again = health(signal, judged(channel, at, value))
        assert again[0] == signal
        if signal is not None:
            late = health(signal, judged(channel, signal.at - 5.0, 33.0))
            assert late[0] == signal


@given(st.lists(values, min_size=1, max_size=60))
def test_no_value_never_has_a_status_that_may_feed_an_alarm(heard: list[float | None]) -> None:
    found = told(DAMP, [(10.0 * n, value) for n, value in enumerate(heard)])
    for (status, why), value in zip(found, heard, strict=True):
        bad = judged(DAMP, 0.0, value).value is None
        assert bad is (status is SignalStatus.FAILURE)
        assert (why is None) is (status is SignalStatus.GOOD)
