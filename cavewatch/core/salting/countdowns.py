"""Countdowns for the wheels in salt: wheels of one make with one history are solved once."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from cavewatch.core.countdown import Countdown, Span
from cavewatch.core.salting import brined, coated
from cavewatch.core.salting.guesses import percent, spread
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.wheel import Standing, Wheel


def countdowns(
    wheels: Iterable[Wheel], surroundings: Mapping[str, Surroundings], at: float
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
            solved[alike] = countdown(wheel, surroundings, at)
        found.append(replace(solved[alike], wheel=wheel.id))
    return found


def countdown(wheel: Wheel, surroundings: Mapping[str, Surroundings], at: float) -> Countdown:
    """The countdown of one wheel in brine or dry salt."""
    style = wheel.style
    in_brine = wheel.standing is Standing.IN_BRINE
    tracks, steps, caution = (brined if in_brine else coated).steps(wheel, surroundings, at)
    salt = [percent(style, track.mean(at)) for track in tracks]
    return Countdown(
        wheel=wheel.id,
        basis=wheel.basis,
        solved_at=at,
        started_at=wheel.history[0].at,
        salt=spread(salt),
        target=Span(style.salt.low, style.salt.value, style.salt.high),
        steps=tuple(steps),
        reason=_reason(wheel, surroundings[wheel.place].strength(at)),
        caution=caution,
    )


def _reason(wheel: Wheel, strength: float | None) -> str:
    rate = wheel.style.rate
    medium = "dry salt" if strength is None else f"brine of {strength:.1f} %"
    return (
        f"{medium} at the temperature measured there; "
        f"rate {rate.value:g} ({rate.low:g} to {rate.high:g}) of the published diffusivity"
    )
