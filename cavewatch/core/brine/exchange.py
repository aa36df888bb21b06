"""What cheese and brine give each other: salt goes in, water comes out."""

from dataclasses import dataclass

from cavewatch.core.countdown import Span
from cavewatch.core.errors import within

FULL_FROM = 16.0
"""Strength from which the whole band of water is given [% w/w]; judgement."""

NONE_BELOW = 12.0
"""Brine weaker than about this hydrates cheese instead [% w/w]. Source: Paroles de
fromagers, page on brine."""

WATER_PER_SALT = Span(1.5, 2.25, 3.0)
"""Water given per salt taken by a brined wheel [g/g]; derived band. Sources: 2.42 at
the surface and less deeper after 9 d (Guinee & Fox 1983, Romano-type); about
2.5 (Actalia, as told by Réussir)."""


@dataclass(frozen=True, slots=True)
class Exchange:
    """What a batch of cheese does to its brine."""

    salt: float
    """Taken from the brine [g]."""
    water: float
    """Given to the brine [g]."""


def water_per_salt(strength: float) -> Span:
    """Water that cheese gives to brine of this strength per salt it takes [g/g].

    The whole of `WATER_PER_SALT` from 16 % w/w up, in a straight line down to
    nothing at 12 % (judgement between the two sources), nothing below.
    """
    within("strength", strength, 0.0, 100.0, "% w/w")
    share = min(1.0, max(0.0, (strength - NONE_BELOW) / (FULL_FROM - NONE_BELOW)))
    full = WATER_PER_SALT
    return Span(full.low * share, full.expected * share, full.high * share)


def exchange(cheese: float, salt_percent: float, water_per_salt: float) -> Exchange:
    """What this much cheese [g] takes and gives when it ends at `salt_percent` of its weight."""
    within("cheese", cheese, 0.0, 1e9, "g")
    within("salt in the cheese", salt_percent, 0.0, 20.0, "%")
    within("water given per salt taken", water_per_salt, 0.0, 10.0, "g/g")
    salt = cheese * salt_percent / 100.0
    return Exchange(salt, salt * water_per_salt)
