"""Three guesses at one wheel: what its style makes likely, and the two ends of the band.

The band is nine in ten: from the 5th to the 95th of a hundred wheels.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple, Self

from cavewatch.core.brine.exchange import water_per_salt
from cavewatch.core.countdown import Span
from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.clock import WarmStart
from cavewatch.core.salting.floating import floating
from cavewatch.core.salting.paste import Paste
from cavewatch.core.salting.salted import Uptake
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.style import DryPlan, Figure, Style
from cavewatch.core.wheel import Wheel

NINE_IN_TEN = 1.6448536269514722
"""Half the width of the band, in standard deviations of a normal distribution."""

BEYOND_BARRIER = 0.7
"""Part of the slow guess's rate that is left in brine above the barrier; judgement."""

DRY_RATE = Figure(1.0, 0.6, 1.6, "judgement; nothing read for rubbed wheels")
"""Factor on the rate while a wheel lies in dry salt [-]."""

SATURATED = 26.3
"""Strength of what dry salt makes of the water that comes out [% w/w]."""

ASSUMED_RETENTION = Figure(0.65, 0.5, 0.8, "from memory; nothing read for rubbed wheels")


@dataclass(frozen=True, slots=True)
class Rate:
    """What is known of the factor on the diffusivity while a face takes up salt: log-normal."""

    value: float
    """Its median [-]."""
    spread: float
    """Standard deviation of its natural logarithm [-]."""
    wheels: int = 0
    """How many of the maker's own wheels it was learned from."""
    usual: bool = False
    """It was first set by a usual time that the maker stated."""

    @classmethod
    def of(cls, figure: Figure) -> Self:
        """From the figure of a style, whose low and high are the ends of the band."""
        return cls(figure.value, math.log(figure.high / figure.low) / (2 * NINE_IN_TEN))

    @property
    def origin(self) -> str:
        """What it was learned from, in words; empty for the style book's."""
        if self.wheels:
            return f"from {self.wheels} of your wheels"
        return "by your usual time" if self.usual else ""

    @property
    def low(self) -> float:
        """Lower end of the band [-]."""
        return self.value * math.exp(-NINE_IN_TEN * self.spread)

    @property
    def high(self) -> float:
        """Upper end of the band [-]."""
        return self.value * math.exp(NINE_IN_TEN * self.spread)


class Guesses(NamedTuple):
    """The same wheel taking up salt slowly, as expected, and fast."""

    slow: Uptake
    expected: Uptake
    fast: Uptake


def guesses(wheel: Wheel, where: Surroundings, at: float, rate: Rate | None = None) -> Guesses:
    """The wheel's guesses.

    Args:
        wheel: in salt.
        where: the place in which it went to salt.
        at: now [s since 1970 UTC]; whether the brine is beyond the barrier now.
        rate: learned from the maker's own wheels; the style's where nothing was.
    """
    style, paste = wheel.style, Paste(wheel.shape)
    rate = rate or Rate.of(style.rate)
    retention = dry_plan(style).retention
    begun = wheel.history[0].at
    strength, strength_now = where.strength(begun), where.strength(at)
    warm = where.warmth.temperature(begun)
    beyond = strength_now is not None and strength_now > where.barrier
    dry = 0.0
    if strength is not None and wheel.floats and len(paste.faces) == 1:
        dry = floating(wheel.shape, style.density.value, strength, warm).dry
    start = None
    if wheel.temperature is not None and wheel.temperature != warm:
        start = WarmStart.of(begun, wheel.temperature - warm, wheel.shape)

    def uptake(factor: float, dry_factor: float, retained: float) -> Uptake:
        return Uptake(
            paste=paste,
            body=body(wheel, strength),
            diffusivity=style.diffusivity.value,
            rate=factor,
            dry_rate=rate.value * dry_factor,
            retention=retained,
            floats=wheel.floats,
            dry=dry,
            start=start,
        )

    slowest = rate.low * (BEYOND_BARRIER if beyond else 1.0)
    return Guesses(
        uptake(slowest, DRY_RATE.low, retention.low),
        uptake(rate.value, DRY_RATE.value, retention.value),
        uptake(rate.high, DRY_RATE.high, retention.high),
    )


def body(wheel: Wheel, strength: float | None) -> Body:
    """What the wheel weighs and holds; dry salt draws water as the strongest brine does."""
    ratio = water_per_salt(SATURATED if strength is None else strength).expected
    return Body(wheel.weight, wheel.weight * wheel.style.moisture.value / 100.0, ratio)


def dry_plan(style: Style) -> DryPlan:
    """How the style is coated; for one that is not usually coated, coats at 0, 12 and 24 h.

    The dose is then what gives the aim at the assumed retention.
    """
    if style.dry is not None:
        return style.dry
    kept = ASSUMED_RETENTION
    dose = Figure(
        style.salt.value / kept.value,
        style.salt.value / kept.high,
        style.salt.value / kept.low,
        "the style's aim over the assumed retention",
    )
    return DryPlan(dose, (0.0, 12.0, 24.0), kept)


def banded(
    value: Callable[[Body, float], float], body: Body, means: Sequence[float], given: Span
) -> Span:
    """A quantity of a wheel, with the spread of its uptake and of the water that it gave for it.

    Args:
        value: of the wheel at a mean of the field.
        body: of the wheel as expected.
        means: of the field by the slow, expected and fast guess [g per 100 g initial water].
        given: water that comes out for salt that goes in [g/g].
    """
    bodies = [replace(body, water_per_salt=ratio) for ratio in (given.low, given.high)]
    ends = [value(each, mean) for each in bodies for mean in means]
    return Span(min(ends), value(body, means[1]), max(ends))


def spread(values: list[float]) -> Span:
    """The slow, expected and fast values as a span in rising order."""
    return Span(float(min(values)), float(values[1]), float(max(values)))
