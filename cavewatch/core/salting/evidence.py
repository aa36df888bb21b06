"""What the measurements of one wheel say of its rate factor.

An assay or a weight is held against the wheel's own history, run with one factor
after another: that gives the factor which explains it and, from the error of the
measurement, an error of the factor.

* An assay of aged cheese is corrected for the weight that it lost: a straight line
  from nothing at the lift to the style's `loss` when it is usually ready, with the
  band of that loss as an error of its own.
* A weight tells of salt only through the water that came out for it, in a ratio that
  is little known, so that it says much less than an assay.
* A wheel that began in dry salt took what was put on it, and says nothing of the rate.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from cavewatch.core.brine.exchange import water_per_salt
from cavewatch.core.journal import Assayed, Weighed
from cavewatch.core.salting.guesses import DRY_RATE, NINE_IN_TEN, guesses
from cavewatch.core.salting.salted import Track, Uptake
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.salting.usual import OUTLIER, SCATTER, explained, prior
from cavewatch.core.stages import ripened
from cavewatch.core.style import Figure
from cavewatch.core.wheel import Wheel

WEIGHING = 0.002
"""Error of a weight, of the scale and the brine that clings, as a part of it; judgement."""
FINEST = 0.01
"""No assay is taken for better than this [% of the cheese]; judgement."""
MUTE = 2.0
"""A measurement whose log factor has a larger error than this says nothing."""
_STEP = 0.05


@dataclass(frozen=True, slots=True)
class Finding:
    """One measurement of a wheel."""

    at: float
    """[s since 1970 UTC]"""
    act: Assayed | Weighed
    """What was found."""


@dataclass(frozen=True, slots=True)
class Saying:
    """What one wheel says."""

    wheel: int
    """Its number."""
    log: float
    """Logarithm of the factor that explains it."""
    error: float
    """Its standard deviation, the scatter between wheels included."""
    beyond: bool = False
    """Nothing comes near what was measured, whatever the factor."""


class _Predicted(NamedTuple):
    """A measurement, and what the model gives for it."""

    quantity: Callable[[float], float]
    """The same quantity for each log factor."""
    value: float
    """As measured."""
    error: float
    """Of the measurement, and of what stands between it and the salt."""


def said(
    wheel: Wheel, findings: Iterable[Finding], surroundings: Mapping[str, Surroundings]
) -> Saying | None:
    """What the measurements of a wheel say together; None if they say nothing.

    Args:
        wheel: with its whole history.
        findings: its measurements.
        surroundings: of every place in its history.
    """
    if not wheel.history or not surroundings[wheel.history[0].place].brined:
        return None
    began = wheel.history[0]
    uptake = guesses(wheel, surroundings[began.place], began.at, prior(wheel.style)).expected
    precision = weighted = 0.0
    for finding in findings:
        if finding.at <= began.at:
            continue
        quantity, value, error = _predicted(wheel, uptake, finding, surroundings)
        log = explained(quantity, value)
        if abs(quantity(log) - value) > OUTLIER * error:
            return Saying(wheel.id, log, MUTE, beyond=True)
        slope = abs(quantity(log + _STEP) - quantity(log - _STEP)) / (2 * _STEP)
        if error < MUTE * slope:
            precision += (slope / error) ** 2
            weighted += log * (slope / error) ** 2
    if not precision:
        return None
    return Saying(wheel.id, weighted / precision, math.hypot(precision**-0.5, SCATTER))


def _predicted(
    wheel: Wheel, uptake: Uptake, finding: Finding, surroundings: Mapping[str, Surroundings]
) -> _Predicted:
    body, act, loss = uptake.body, finding.act, wheel.style.loss
    aged = ripened(wheel, finding.at)
    kept, kept_error = 1.0 - aged * loss.value / 100.0, aged * _deviation(loss) / 100.0

    def mean(log: float) -> float:
        factor = math.exp(log)
        guess = replace(uptake, rate=factor, dry_rate=factor * DRY_RATE.value)
        return Track.of(guess, surroundings, wheel.history).mean(finding.at)

    if isinstance(act, Assayed):
        # Wheels assayed together were measured once: each counts for its share of that.
        error = max(act.error, FINEST) * math.sqrt(len(act.wheels))
        error = math.hypot(error, act.salt * kept_error / kept)
        return _Predicted(lambda log: body.salt_percent(mean(log)) / kept, act.salt, error)
    began = wheel.history[0]
    strength = surroundings[began.place].strength(began.at)
    assert strength is not None
    ratio = water_per_salt(strength)
    ratio_error = (ratio.high - ratio.low) / (2 * NINE_IN_TEN)
    salt = body.salt(mean(math.log(uptake.rate)))
    error = math.hypot(WEIGHING * body.weight, kept_error * body.weight, ratio_error * salt)
    return _Predicted(lambda log: body.weight_now(mean(log)) * kept, act.grams, error)


def _deviation(figure: Figure) -> float:
    return (figure.high - figure.low) / (2 * NINE_IN_TEN)
