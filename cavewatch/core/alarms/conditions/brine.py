"""A brine that does not suit the wheels in it: too weak, too acid, not acid enough.

Too warm and too cold are limits of the tub's temperature like any other.
"""

from collections.abc import Iterator

from cavewatch.core.alarms.conditions.here import Here, by_style, consequence
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.texts import Words
from cavewatch.core.brine.life import TubLife
from cavewatch.core.brine.upkeep import MILD, SOUR
from cavewatch.core.wheel import Standing

SLACK = 0.5
"""Brine that is weaker than wanted by less than this costs nothing that a countdown does not
make good by a few per cent of time; judgement [% w/w]."""


def brine(here: Here, life: TubLife, words: Words) -> tuple[Condition, ...]:
    """What is wrong with a tub's brine for its wheels; nothing while none is in it.

    The strength is the one predicted for now, the pH that of the last test.
    """
    inside = tuple(wheel for wheel in here.wheels if wheel.standing is Standing.IN_BRINE)
    return tuple(_faults(Here(here.place, inside, here.at), life, words)) if inside else ()


def _faults(here: Here, life: TubLife, words: Words) -> Iterator[Condition]:
    plans = [(wheel, plan) for wheel in here.wheels if (plan := wheel.style.brine) is not None]
    wheel, plan = max(plans, key=lambda each: each[1].strength.low, default=(None, None))
    strength, least = life.strength, None if plan is None else plan.strength.low
    if wheel is not None and least is not None and strength.expected < least - SLACK:
        value = f"{strength.expected:.1f} % salt ({strength.low:.1f} to {strength.high:.1f})"
        wants = f"at least {least:g} % for {wheel.style.name}"
        gap = f"{least - strength.expected:.1f} % below it"
        yield _condition("brine weak", f"{value}, {wants}", gap, here, words)
    if life.ph is not None and life.ph < SOUR:
        gap = f"{SOUR - life.ph:.1f} below it"
        yield _condition("brine acid", f"pH {life.ph:.1f}, at least {SOUR:g}", gap, here, words)
    if life.ph is not None and life.ph > MILD:
        gap = f"{life.ph - MILD:.1f} above it"
        yield _condition("brine mild", f"pH {life.ph:.1f}, at most {MILD:g}", gap, here, words)


def _condition(kind: str, found: str, gap: str, here: Here, words: Words) -> Condition:
    text = words.texts[kind]
    what = f"the brine in {here.place.name} is {text.word}: {found}"
    told = words.explained(kind, what, consequence(text, here.wheels), gap, by_style(here.wheels))
    return Condition(f"{here.place.name} {kind}", text.priority, told, here.place.name)
