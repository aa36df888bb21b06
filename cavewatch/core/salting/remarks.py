"""What the planner says beside its numbers: where it is out of its depth, what to mind."""

from cavewatch.core.brine.density import density
from cavewatch.core.brine.exchange import NONE_BELOW, water_per_salt
from cavewatch.core.brine.strength import from_in_water
from cavewatch.core.countdown import Action
from cavewatch.core.salting.activity import MOIST
from cavewatch.core.salting.asked import HOUR
from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.guesses import dry_plan
from cavewatch.core.salting.planning import Planned
from cavewatch.core.salting.surroundings import BARRIER
from cavewatch.core.salting.target import Basis
from cavewatch.core.salting.usual import usual_doubt
from cavewatch.core.shape import Sphere
from cavewatch.core.style import Method

WEAK = 16.0
"""Source: Dairy Foods, article 95161 (Wisconsin Center for Dairy Research) [% w/w]."""
ROOM = 1.5
"""Brine over cheese by volume; common practice, no source [-]."""


def remarks(planned: Planned) -> tuple[str, ...]:
    """Cautions, one sentence each, the gravest first."""
    asked = planned.asked
    found = [*_unreached(planned), *_of_brine(planned), *_of_the_wheel(planned)]
    doubt = usual_doubt(asked.style)
    return (*found, doubt) if doubt else tuple(found)


def _unreached(planned: Planned) -> list[str]:
    """That the target cannot be had, and what would bring it."""
    asked = planned.asked
    if planned.reached or asked.hold is not None:
        return []
    target = asked.aim()
    basis = "salt in moisture" if target.basis is Basis.MOISTURE else "salt"
    said = f"this brine does not bring the wheel to {target.value:.2g} % {basis} within 90 days"
    return [f"{said}: {_would(planned)}"]


def _would(planned: Planned) -> str:
    asked = planned.asked
    ratio = water_per_salt(asked.strength).expected
    body = Body(asked.weight, asked.weight * asked.style.moisture.value / 100.0, ratio)
    level = asked.aim().level(body)
    needed = from_in_water(min(level / asked.partition, 66.0))
    if needed >= BARRIER:
        return "no brine does; choose a lower target, or salt it dry after the brine"
    if asked.strength <= needed:
        return f"it must be stronger than {needed:.1f} % all the time, the more the sooner"
    if asked.litres is not None:
        mass = asked.wheels * body.salt(level) * (1.0 + needed / 100.0 * (ratio - 1.0))
        mass *= 100.0 / (asked.strength - needed)
        litres = mass / density(asked.strength, asked.temperature)
        if litres > asked.litres:
            return (
                f"the tub must hold well over {litres:.3g} L, or be kept above {needed:.1f} % "
                "by adding salt"
            )
    return f"it comes near; make it well stronger than {needed:.1f} %, or warmer"


def _of_brine(planned: Planned) -> list[str]:
    asked = planned.asked
    if asked.method is not Method.BRINE:
        return []
    found = []
    if asked.strength > BARRIER:
        found.append(
            f"brine above {BARRIER:g} % dries the surface and may even salt more slowly; it is "
            f"counted as {BARRIER:g} %, with a wider range"
        )
    if asked.strength < NONE_BELOW:
        found.append(
            f"brine under about {NONE_BELOW:g} % gives the cheese water instead of taking it, "
            "and its rind softens"
        )
    elif asked.strength < WEAK:
        found.append(f"brine under {WEAK:g} % has more trouble with microbes")
    lies = planned.floating
    if asked.floats and lies is not None and not planned.afloat:
        found.append(
            f"the paste ({lies.paste:.3f} g/cm3) is denser than the brine ({lies.brine:.3f}): it "
            "sinks, and counts as wet all round"
        )
    if planned.afloat and isinstance(asked.shape, Sphere):
        found.append(
            "a ball has no flat face: roll it in the brine; it counts as wet all round, less the "
            "share that stands out"
        )
    cheese = asked.wheels * asked.shape.volume / 1000.0
    if asked.litres is not None and asked.litres < ROOM * cheese:
        found.append(
            f"{asked.litres:.3g} L of brine is less than {ROOM:g} times the cheese ({cheese:.3g} "
            "L; common practice, no source)"
        )
    return found


def _of_the_wheel(planned: Planned) -> list[str]:
    asked, style = planned.asked, planned.asked.style
    found = []
    density_ = style.density
    if not 0.93 * density_.low <= asked.by_volume <= 1.07 * density_.high:
        found.append(
            f"weight and size do not fit well: {asked.by_volume:.2f} g/cm3, and the paste has "
            f"about {density_.value:.2f}; the size decides the times, the weight the grams"
        )
    if not style.weight.low <= asked.weight <= style.weight.high:
        found.append("this is not a usual weight for the style")
    if asked.method not in style.methods:
        found.append(f"{style.name} is not usually salted so; the figures are general ones")
    warm = asked.wheel_temperature
    if warm is not None and warm > asked.temperature + 3.0:
        found.append(
            "a warm wheel takes salt faster; this is counted, but cool it first if you can"
        )
    if asked.method is Method.DRY and dry_plan(style).hours and asked.hold is not None:
        coats = [step for step in planned.steps if step.action is Action.COAT]
        usual = asked.coats or len(dry_plan(style).hours)
        if len(coats) < usual and asked.touches is None:
            found.append(f"only {len(coats)} of {usual} coats fit into {asked.hold / HOUR:.3g} h")
    if planned.retention is not None and planned.put_on is not None:
        goes_in = planned.put_on.expected * planned.retention.value
        if planned.salt.expected < 0.95 * goes_in:
            found.append("not all of the salt has gone in by then: brush off what is left")
    if style.moisture.value < MOIST:
        found.append(
            f"the relation for water activity holds above about {MOIST:g} % moisture; drier cheese "
            "has less"
        )
    return found
