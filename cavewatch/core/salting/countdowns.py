"""Countdowns for the wheels in salt: wheels of one make with one history are solved once."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from cavewatch.core.brine.exchange import water_per_salt
from cavewatch.core.countdown import Content, Countdown, Span
from cavewatch.core.salting import brined, coated
from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.guesses import SATURATED, Rate, banded, guesses
from cavewatch.core.salting.shifting import footing
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.salting.usual import prior
from cavewatch.core.wheel import Standing, Wheel

Rates = Mapping[str, Rate]
"""What was learned of a style's rate factor, by the style's id; the rest have their style's."""


def countdowns(
    wheels: Iterable[Wheel],
    surroundings: Mapping[str, Surroundings],
    at: float,
    rates: Rates | None = None,
) -> list[Countdown]:
    """The countdown of every wheel in brine or dry salt, seen at a time [s since 1970 UTC].

    `surroundings` must hold every place in their histories.
    """
    solved: dict[Wheel, Countdown] = {}
    found = []
    for wheel in wheels:
        if wheel.standing not in (Standing.IN_BRINE, Standing.IN_DRY_SALT):
            continue
        alike = replace(wheel, id=0)
        if alike not in solved:
            solved[alike] = countdown(wheel, surroundings, at, rates)
        found.append(replace(solved[alike], wheel=wheel.id))
    return found


def countdown(
    wheel: Wheel, surroundings: Mapping[str, Surroundings], at: float, rates: Rates | None = None
) -> Countdown:
    """The countdown of one wheel in brine or dry salt, with its own plan pinned."""
    began_in = surroundings[wheel.history[0].place]
    rate = rate_of(wheel, rates or {})
    aims = at_lift(wheel)
    solved = worked_out(wheel, surroundings, at, rate)
    body = solved.tracks[1].uptake.body
    began = began_in.strength(wheel.history[0].at)
    given = water_per_salt(SATURATED if began is None else began)
    lift = max(solved.steps[-1].at.expected, at)
    now, ahead = (
        content([track.mean(when) for track in tracks], body, given)
        for tracks, when in ((solved.tracks, at), (solved.ahead, lift))
    )
    where = surroundings[wheel.place]
    return Countdown(
        wheel=wheel.id,
        basis=wheel.basis,
        solved_at=at,
        started_at=wheel.history[0].at,
        salt=now.salt,
        target=aims,
        steps=tuple(solved.steps),
        reason=_reason(where, at, aims, rate),
        caution=solved.caution,
        in_moisture=now.in_moisture,
        at_lift=ahead,
        pinned=footing(wheel, where, solved.tracks[1], solved.steps, at, aims, rate),
    )


def worked_out(
    wheel: Wheel, surroundings: Mapping[str, Surroundings], at: float, rate: Rate
) -> brined.Solved:
    """A wheel in brine or dry salt with what is left to do, lifted at its style's aim."""
    three = guesses(wheel, surroundings[wheel.history[0].place], at, rate)
    if wheel.standing is Standing.IN_BRINE:
        level = three.expected.body.mean_at_percent(at_lift(wheel).expected)
        return brined.solved(wheel, surroundings, three, level, at)
    return coated.solved(wheel, surroundings, three, at)


def content(means: Sequence[float], body: Body, given: Span) -> Content:
    """What is in a wheel, with its range.

    Args:
        means: of the field by the slow, expected and fast guess [g per 100 g initial water].
        body: of the wheel as expected.
        given: water that comes out for salt that goes in [g/g].
    """
    values = (Body.salt_percent, Body.salt_in_moisture, Body.weight_now)
    return Content(*(banded(value, body, means, given) for value in values))


def rate_of(wheel: Wheel, rates: Rates) -> Rate:
    """What is known of a wheel's rate factor."""
    return rates.get(wheel.style.id) or prior(wheel.style)


def at_lift(wheel: Wheel) -> Span:
    """Salt to lift at [% of the weight then], from what the finished cheese is to have.

    A finished cheese has lost weight in ageing and none of its salt.
    """
    style = wheel.style
    kept = 1.0 - style.loss.value / 100.0
    return Span(style.salt.low * kept, style.salt.value * kept, style.salt.high * kept)


def _reason(where: Surroundings, at: float, aims: Span, rate: Rate) -> str:
    """What the numbers rest on; see `cavewatch.core.text.in_units`."""
    strength = where.strength(at)
    medium = "dry salt" if strength is None else f"brine {strength:.1f} %"
    learned = f", {rate.origin}" if rate.origin else ""
    return (
        f"{aims.expected:.1f} % salt at the lift; {medium} at "
        f"{{{where.warmth.temperature(at):.1f} degC}}; rate {rate.value:.2g} "
        f"({rate.low:.2g} to {rate.high:.2g}) of the paste's diffusivity{learned}"
    )
