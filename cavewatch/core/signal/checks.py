"""A sensor held against something known: the air over a wet salt, or melting ice.

The salt is a damp slush, solid still visible, in a closed jar with the sensor
above it (steps and waiting times: Padfield, saturated salt solutions). One
point shows no error of slope, so a second salt is worth its hour.

Source of the humidities: Greenspan 1977, J. Res. NBS 81A; the polynomials are
from memory and give Padfield's printed table to 0.1 % from 5 to 25 degC, but for
one cell that is a misprint (table salt at 20 degC).
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from cavewatch.core.errors import within
from cavewatch.core.journal import Against, SensorChecked
from cavewatch.core.reading import Channel, Quantity, Reading

_SALTS = {
    Against.TABLE_SALT: ((75.5164, 0.0398321, -0.265459e-2, 0.2848e-4), 0.2),
    Against.POTASSIUM_CHLORIDE: ((88.6190, -0.193340, 0.899706e-3), 0.3),
}
"""Polynomial in the temperature [degC] for the humidity [%], and its uncertainty [%]."""
_ICE_ERROR = 0.1
"""Of an ice bath in a kitchen [K]; from memory."""
_MISMATCH = 0.1 * 6.0 / 90.0
"""Error of a humidity, as a part of it, where sensor and salt differ by 0.1 K: a sensor maker
gives about 6 % at 90 % for 1 K; the tenth is judgement."""
_ASTRAY = {Quantity.TEMPERATURE: 5.0, Quantity.HUMIDITY: 12.0}
"""Further off than this, the sensor is hardly in the jar or in the ice [K or %]; judgement."""
_UNFIT = {Quantity.TEMPERATURE: 1.5, Quantity.HUMIDITY: 6.0}
"""Further off than this, a sensor is not to be corrected but replaced [K or %]; judgement: data
sheets allow 2 to 4.5 %, and damp air adds about 3 %."""


@dataclass(frozen=True, slots=True)
class Known:
    """What a sound sensor would show."""

    value: float
    """[degC or %]"""
    error: float
    """Standard deviation [K or %]."""


def known(against: Against, temperature: float = 0.0) -> Known:
    """What a sound sensor shows over this salt at the jar's temperature [degC], or in ice.

    Raises:
        OutOfRangeError: for a salt outside 0 to 40 degC.
    """
    if against is Against.ICE:
        return Known(0.0, _ICE_ERROR)
    within("the jar's temperature", temperature, 0.0, 40.0, "degC")
    powers, error = _SALTS[against]
    value = sum(factor * temperature**power for power, factor in enumerate(powers))
    return Known(value, math.hypot(error, _MISMATCH * value))


@dataclass(frozen=True, slots=True)
class _Patience:
    wait: float
    """At least so long in the jar [s]."""
    window: float
    """The last stretch, which must be steady [s]."""
    drift: float
    """Between the means of its two halves, at most [K or %]."""
    spread: float
    """Between its lowest and highest value, at most [K or %]."""


_IN_JAR = _Patience(20 * 60.0, 10 * 60.0, 0.3, 1.5)
"""20 minutes are Padfield's for a small sensor; the rest is judgement."""
_IN_ICE = _Patience(5 * 60.0, 3 * 60.0, 0.05, 0.3)
"""Judgement."""
_FEWEST = 5


class Wait(StrEnum):
    """Why a check is not at its end."""

    FEW = "too few readings"
    SOON = "too soon"
    UNSTEADY = "not steady yet"


@dataclass(frozen=True, slots=True)
class Settling:
    """What a sensor shows in the jar so far."""

    mean: float | None
    """Of the last stretch [degC or %]; None if nothing came in it."""
    deviation: float
    """Standard deviation of that mean [K or %]."""
    wait: Wait | None
    """What it waits for; None once it is steady."""


def settling(readings: Iterable[Reading], against: Against, since: float, at: float) -> Settling:
    """How far a sensor has come to rest.

    Args:
        readings: of its channel, as it sent them, oldest first.
        against: what it is held against.
        since: when it was put there [s since 1970 UTC].
        at: now [s since 1970 UTC].
    """
    patience = _IN_ICE if against is Against.ICE else _IN_JAR
    begin = max(since, at - patience.window)
    window = [
        (reading.at, reading.value)
        for reading in readings
        if begin <= reading.at <= at and reading.value is not None
    ]
    values = [value for _, value in window]
    if not values:
        return Settling(None, 0.0, Wait.FEW)
    mean = sum(values) / len(values)
    variance = sum((value - mean) ** 2 for value in values) / len(values)
    halves = (
        [value for when, value in window if (when < begin + patience.window / 2) is early]
        for early in (True, False)
    )
    return Settling(
        mean,
        math.sqrt(variance / len(values)),
        _wait([*halves], values, at - since, patience),
    )


def _wait(
    halves: list[list[float]], values: list[float], spent: float, patience: _Patience
) -> Wait | None:
    if spent < patience.wait:
        return Wait.SOON
    if len(values) < _FEWEST or not all(halves):
        return Wait.FEW
    first, second = (sum(half) / len(half) for half in halves)
    if abs(second - first) > patience.drift or max(values) - min(values) > patience.spread:
        return Wait.UNSTEADY
    return None


def astray(channel: Channel, mean: float, wanted: Known) -> bool:
    """True if the sensor is so far off that it is hardly in the jar or in the ice."""
    return abs(wanted.value - mean) > _ASTRAY[channel.quantity]


def checked(
    channel: Channel, against: Against, found: Settling, temperature: float | None
) -> SensorChecked:
    """The entry for a check that has come to its end.

    Args:
        channel: of the sensor.
        against: what it was held against.
        found: steady, so that it has a mean.
        temperature: of the jar [degC]; None in ice.
    """
    assert found.mean is not None
    wanted = known(against, temperature or 0.0)
    offset = wanted.value - found.mean
    return SensorChecked(
        str(channel),
        against,
        shown=round(found.mean, 3),
        offset=round(offset, 3),
        error=round(math.hypot(wanted.error, found.deviation), 3),
        fit=abs(offset) <= _UNFIT[channel.quantity],
        temperature=None if temperature is None else round(temperature, 2),
    )
