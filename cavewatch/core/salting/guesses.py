"""Three guesses at one wheel: what its style makes likely, and the two ends of the band."""

from typing import NamedTuple

from cavewatch.core.countdown import Span
from cavewatch.core.salting.paste import Paste
from cavewatch.core.salting.salted import Uptake
from cavewatch.core.style import DryPlan, Figure, Style
from cavewatch.core.wheel import Wheel

BEYOND_BARRIER = 0.7
"""Part of the slow guess's rate that is left in brine above the barrier; judgement."""

ASSUMED_RETENTION = Figure(0.65, 0.5, 0.8, "from memory; nothing read for rubbed wheels")


class Guesses(NamedTuple):
    """The same wheel taking up salt slowly, as expected, and fast."""

    slow: Uptake
    expected: Uptake
    fast: Uptake


def guesses(wheel: Wheel, beyond_barrier: bool) -> Guesses:
    """The wheel's guesses from its style's rate factor and retention."""
    style, paste = wheel.style, Paste(wheel.shape)
    retention = dry_plan(style).retention
    rates = (style.rate.low * (BEYOND_BARRIER if beyond_barrier else 1.0), style.rate.value)

    def uptake(rate: float, retained: float) -> Uptake:
        return Uptake(
            paste=paste,
            diffusivity=style.diffusivity.value * rate,
            water=wheel.weight * style.moisture.value / 100.0,
            retention=retained,
            floats=wheel.floats,
        )

    return Guesses(
        uptake(rates[0], retention.low),
        uptake(rates[1], retention.value),
        uptake(style.rate.high, retention.high),
    )


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


def percent(style: Style, in_moisture: float) -> float:
    """Salt in the cheese [%] from salt in its moisture [g per 100 g water]."""
    return in_moisture * style.moisture.value / 100.0


def spread(values: list[float]) -> Span:
    """The slow, expected and fast values as a span in rising order."""
    return Span(min(values), values[1], max(values))
