"""How much cheese a tub still takes before its brine is too weak."""

from cavewatch.core.brine.restoring import Tub
from cavewatch.core.brine.strength import STRONGEST
from cavewatch.core.countdown import Span
from cavewatch.core.errors import within


def capacity(tub: Tub, bound: float, salt_percent: float, water_per_salt: Span) -> Span:
    """Cheese that goes through until the brine's strength falls to `bound` % w/w [kg].

    Exact for cheese that ends at `salt_percent` of its weight and gives
    `water_per_salt` [g/g] all the while; nothing is added to the brine meanwhile.
    Zero if the brine is no stronger than the bound. The low end is that of cheese
    that gives much water.
    """
    part = within("lowest strength", bound, 0.0, STRONGEST, "% w/w") / 100.0
    within("salt in the cheese", salt_percent, 0.1, 20.0, "%")
    spare = max(0.0, tub.salt - part * tub.mass)

    def kilograms(water: float) -> float:
        within("water given per salt taken", water, 0.0, 10.0, "g/g")
        return spare / (1.0 + part * (water - 1.0)) / (salt_percent / 100.0) / 1000.0

    return Span(
        kilograms(water_per_salt.high),
        kilograms(water_per_salt.expected),
        kilograms(water_per_salt.low),
    )
