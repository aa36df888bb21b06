"""The health of one channel's signal, in the words of NAMUR NE 107, reading by reading.

One pure step: `health(signal, reading, record)` gives what is known of the
signal after the reading, and the reading's status with its reason. Detectors
look at values as the sensor sends them, uncorrected. Of several reasons the
gravest is told: failure, function check, out of specification, maintenance
required (the order of manuals after the edition of 2006; others order the last
three differently). Silence is no reading: whoever knows the time tells it.
"""

from enum import StrEnum
from typing import NamedTuple

from cavewatch.core.reading import Quantity, Reading, SignalStatus
from cavewatch.core.signal import condensation, jump, noise, stuck
from cavewatch.core.signal.record import UNKNOWN, SensorRecord


class Why(StrEnum):
    """The reason for a status other than good."""

    SILENT = "silent"
    """Nothing comes (failure)."""
    NO_VALUE = "no value"
    """It has none, or one that cannot be true: sensor or wiring (failure)."""
    TESTED = "being tested"
    """The maker has it in hand (function check)."""
    UNFIT = "found unfit"
    """By the last check (out of specification), as are the next four."""
    WET = "wet"
    """A humidity sensor on which water has condensed."""
    JUMP = "jump"
    """It leapt from one reading to the next and has not confirmed that yet."""
    NOISE = "noise"
    """It shakes more than air or brine can."""
    STUCK = "stuck"
    """It stands still for longer than it ever does."""
    CHECK_OLD = "check is old"
    """Its last check was long ago (maintenance required)."""


class Signal(NamedTuple):
    """What is known of a channel's signal after its readings so far."""

    at: float
    """Of the newest reading with a value [s since 1970 UTC]."""
    value: float
    """Of that reading."""
    step: float
    """From the value before to that one."""
    noise: float
    """Variance of the noise, see `noise`."""
    doubt: jump.Doubt | None
    """What was believed before a leap; None where the newest value is believed."""
    still_since: float
    """When it first showed this value without a change [s since 1970 UTC]."""
    rests: stuck.Rests
    """How long it stood still before."""
    wet_since: float | None
    """Since when a humidity sensor reads as a wet one [s since 1970 UTC]."""


Health = tuple[Signal | None, SignalStatus, Why | None]

# Members of enums are looked up slowly, and this runs for every reading.
_HUMIDITY = Quantity.HUMIDITY
_GOOD, _UNCERTAIN = SignalStatus.GOOD, SignalStatus.OUT_OF_SPECIFICATION


def health(signal: Signal | None, reading: Reading, record: SensorRecord = UNKNOWN) -> Health:
    """What is known of the signal after one more reading, the reading's status, and why.

    Args:
        signal: after the reading before; None at first.
        reading: as the sensor sent it, not corrected; later than the one before, or nothing
            is learnt from it.
        record: the sensor's checks and tests by the maker.
    """
    value, at = reading.value, reading.at
    if value is None:
        return signal, SignalStatus.FAILURE, Why.NO_VALUE
    humid = reading.channel.quantity is _HUMIDITY
    limits = _HUMID if humid else _WARM
    if signal is None:
        wet_since = condensation.wet_since(None, value, at) if humid else None
        signal = Signal(at, value, 0.0, 0.0, None, at, stuck.Rests(at), wet_since)
    elif at > signal.at:
        signal = _after(signal, value, at, limits, humid)
    if record is not UNKNOWN:
        if record.tested_at(at):
            return signal, SignalStatus.CHECK, Why.TESTED
        if record.unfit_at(at):
            return signal, _UNCERTAIN, Why.UNFIT
    why = _doubtful(signal, at, limits)
    if why is None and value >= 100.0 and reading.status is _UNCERTAIN:
        why = Why.WET
    if why is not None:
        return signal, _UNCERTAIN, why
    if record is not UNKNOWN and record.overdue_at(at, reading.channel.quantity):
        return signal, SignalStatus.MAINTENANCE, Why.CHECK_OLD
    return signal, _GOOD, None


class _Limits(NamedTuple):
    leap: float
    noise: float


_HUMID = _Limits(jump.LEAP[_HUMIDITY], noise.LIMIT[_HUMIDITY] ** 2)
_WARM = _Limits(jump.LEAP[Quantity.TEMPERATURE], noise.LIMIT[Quantity.TEMPERATURE] ** 2)


def _after(known: Signal, value: float, at: float, limits: _Limits, humid: bool) -> Signal:
    before, last, step_before, shaking, doubt, still_since, rests, wet_since = known
    gap, step, leap = at - before, value - last, limits.leap
    if gap > noise.LAPSE:
        step = 0.0
    elif step_before or shaking:
        shaking = noise.shaken(shaking, step_before, step, limits.noise)
    if doubt is not None or not -leap <= value - last <= leap:
        doubt = jump.doubted(doubt or jump.Doubt(last, before), last, value, at, leap)
    if step or value != last or gap > stuck.LAPSE:
        if before - still_since > rests.longest:
            rests = rests._replace(longest=before - still_since)
        still_since = at
    if humid:
        wet_since = condensation.wet_since(wet_since, value, at)
    return Signal(at, value, step, shaking, doubt, still_since, rests, wet_since)


def _doubtful(signal: Signal, at: float, limits: _Limits) -> Why | None:
    if signal.wet_since is not None and condensation.is_wet(signal.wet_since, at):
        return Why.WET
    if signal.doubt is not None:
        return Why.JUMP
    if signal.noise > limits.noise:
        return Why.NOISE
    if at - signal.still_since >= stuck.SHORTEST and stuck.is_stuck(
        signal.still_since, signal.rests, at
    ):
        return Why.STUCK
    return None
