"""The rate factor before any wheel was measured: the style book's, or a usual time's."""

import math
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from cavewatch.core.brine.exchange import water_per_salt
from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.salting.guesses import NINE_IN_TEN, Rate
from cavewatch.core.salting.paste import Paste
from cavewatch.core.salting.salted import Track, Uptake
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.style import Style, Usual
from cavewatch.core.wheel import Event, Happening

SCATTER = 0.2
"""Standard deviation of the log factor from wheel to wheel of one maker; judgement."""
OUTLIER = 3.0
"""Standard deviations beyond which a usual time or a wheel is left out."""
SMALLEST, LARGEST = math.log(0.02), math.log(50.0)
"""Log factors that are looked among."""
CLOSE = 0.001
"""How near a log factor must be."""
HOUR = 3600.0


def prior(style: Style) -> Rate:
    """What is known of a style's rate before any of the maker's wheels was measured.

    The style book's figure; or, where the maker stated a usual time, the factor with
    which that time gives the style's aim. Its band is then made of the aim's range and
    the scatter between wheels. A usual time that the style book's figure makes all but
    impossible is left out.
    """
    booked = Rate.of(style.rate)
    if style.usual is None:
        return booked
    usual = _usual(style, style.usual)
    return usual if _apart(booked, usual) <= OUTLIER else booked


def usual_doubt(style: Style) -> str:
    """Why the usual time stated for a style is left out; empty if it is not, or none is stated."""
    if style.usual is None:
        return ""
    booked, usual = Rate.of(style.rate), _usual(style, style.usual)
    if _apart(booked, usual) <= OUTLIER:
        return ""
    much = "short" if usual.value > booked.value else "long"
    return (
        f"the usual time of style '{style.id}' is left out: {style.usual.time:g} h is far too "
        f"{much} for {style.usual.weight:g} g in brine of {style.usual.strength:g} %; check its "
        "numbers"
    )


def wet_all_round(
    style: Style, weight: float, hours: float, strength: float, temperature: float
) -> Callable[[float], float]:
    """Salt in a wheel of the usual shape for each log factor [% of its weight then].

    Its faces are all wet all the time, which is near enough to a wheel that floats, is
    turned and has its upper face kept under salt.

    Args:
        style: of the wheel.
        weight: [g].
        hours: in brine.
        strength: of the brine [% w/w].
        temperature: of brine and wheel [degC].
    """
    around = {"": Surroundings(WarmthRecord([0.0], [temperature]), ((0.0, strength),))}
    water = weight * style.moisture.value / 100.0
    body = Body(weight, water, water_per_salt(strength).expected)
    shape = style.proportions.sized(weight / style.density.value)
    uptake = Uptake(Paste(shape), body, style.diffusivity.value, 1.0, 1.0, 1.0, floats=False)
    history = [Happening(0.0, Event.IN, "")]

    def salt(log: float) -> float:
        track = Track.of(replace(uptake, rate=math.exp(log)), around, history)
        return body.salt_percent(track.mean(hours * HOUR))

    return salt


def explained(quantity: Callable[[float], float], value: float) -> float:
    """The log factor at which a monotonic quantity has a value; SMALLEST or LARGEST if none."""
    low, high = SMALLEST, LARGEST
    rising = quantity(high) >= quantity(low)
    while high - low > CLOSE:
        middle = (low + high) / 2
        if (quantity(middle) < value) is rising:
            low = middle
        else:
            high = middle
    return (low + high) / 2


@lru_cache(maxsize=32)
def _usual(style: Style, usual: Usual) -> Rate:
    salt = wet_all_round(style, usual.weight, usual.time, usual.strength, usual.temperature)
    kept = 1.0 - style.loss.value / 100.0
    low, log, high = (
        explained(salt, aim * kept) for aim in (style.salt.low, style.salt.value, style.salt.high)
    )
    spread = math.hypot((high - low) / (2 * NINE_IN_TEN), SCATTER)
    return Rate(math.exp(log), spread, usual=True)


def _apart(one: Rate, other: Rate) -> float:
    """How far two rates are from each other [standard deviations]."""
    return abs(math.log(one.value / other.value)) / math.hypot(one.spread, other.spread)
