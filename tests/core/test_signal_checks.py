"""A sensor in the jar or in ice: when it is steady, and what that says."""

import math

import pytest

from cavewatch.core.journal import Against, from_plain, to_plain
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.signal.checks import Known, Wait, astray, checked, known, settling

DAMP = Channel("cave", Quantity.HUMIDITY)
WARMTH = Channel("cave", Quantity.TEMPERATURE)
MINUTE = 60.0


def in_jar(at: float) -> float:
    """From a cave at 92 % towards 74 %, with a time constant of five minutes."""
    return 74.0 + 18.0 * math.exp(-at / (5 * MINUTE))


def heard(channel: Channel, until: float, value: object = in_jar) -> list[Reading]:
    assert callable(value)
    return [Reading(channel, 10.0 * n, value(10.0 * n)) for n in range(int(until / 10.0) + 1)]


@pytest.mark.parametrize(
    ("minutes", "wait"), [(5, Wait.SOON), (19, Wait.SOON), (24, Wait.UNSTEADY), (32, None)]
)
def test_a_sensor_settles_in_the_jar(minutes: int, wait: Wait | None) -> None:
    at = minutes * MINUTE
    assert settling(heard(DAMP, at), Against.TABLE_SALT, 0.0, at).wait is wait


def test_what_came_before_the_jar_does_not_count() -> None:
    readings = heard(DAMP, 40 * MINUTE, lambda at: 92.0 if at < 20 * MINUTE else 74.0)
    found = settling(readings, Against.TABLE_SALT, 20 * MINUTE, 40 * MINUTE)
    assert (found.mean, found.wait) == (74.0, None)


def test_few_or_no_readings_are_waited_for() -> None:
    at = 40 * MINUTE
    assert settling([], Against.TABLE_SALT, 0.0, at).wait is Wait.FEW
    old = heard(DAMP, 34 * MINUTE, lambda _: 74.0)
    assert settling(old, Against.TABLE_SALT, 0.0, at).wait is Wait.FEW
    failing = [Reading(DAMP, at - n, None) for n in range(100)]
    assert settling(failing, Against.TABLE_SALT, 0.0, at).wait is Wait.FEW


def test_ice_needs_five_minutes() -> None:
    for minutes, wait in ((4, Wait.SOON), (6, None)):
        at = minutes * MINUTE
        found = settling(heard(WARMTH, at, lambda _: 0.3), Against.ICE, 0.0, at)
        assert found.wait is wait


def test_the_offset_is_what_is_missing_to_the_published_humidity() -> None:
    at = 40 * MINUTE
    found = settling(heard(DAMP, at, lambda _: 74.0), Against.TABLE_SALT, 0.0, at)
    made = checked(DAMP, Against.TABLE_SALT, found, 12.0)
    assert made.shown + made.offset == pytest.approx(75.6, abs=0.1)
    assert made.fit
    # 0.1 K between salt and sensor is half a per cent, more than the table's own uncertainty.
    assert 0.4 < made.error < 0.7
    assert from_plain(to_plain(made)) == made


@pytest.mark.parametrize(
    ("channel", "against", "shown", "fit"),
    [
        (DAMP, Against.TABLE_SALT, 70.0, True),
        (DAMP, Against.TABLE_SALT, 69.0, False),
        (DAMP, Against.POTASSIUM_CHLORIDE, 93.0, False),
        (WARMTH, Against.ICE, 1.4, True),
        (WARMTH, Against.ICE, -1.6, False),
    ],
)
def test_too_far_off_is_unfit(channel: Channel, against: Against, shown: float, fit: bool) -> None:
    at = 40 * MINUTE
    found = settling(heard(channel, at, lambda _: shown), against, 0.0, at)
    assert checked(channel, against, found, 12.0).fit is fit


def test_a_sensor_that_is_not_in_the_jar_is_told_from_a_bad_one() -> None:
    assert astray(DAMP, 92.0, known(Against.TABLE_SALT, 12.0))
    assert not astray(DAMP, 82.0, known(Against.TABLE_SALT, 12.0))
    assert astray(WARMTH, 12.0, Known(0.0, 0.1))
