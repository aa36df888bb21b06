"""A weighed sample of brine, dried to its salt and weighed again."""

from math import hypot

from cavewatch.core.brine.agreement import ImpossibleReadingError, Measured, whey, whey_remarks
from cavewatch.core.brine.strength import STRONGEST
from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError

_STILL_DAMP = 0.005
"""Share by which salt dried in a kitchen oven may weigh too much or, for grains that jump
out of the dish, too little. Judgement; nothing read."""


def read(sample: float, dry: float, balance: float = 0.1, passed: float | None = None) -> Measured:
    """Strength of a brine by drying: dry residue over sample.

    The range joins, in quadrature, half a step of the balance in each of two weighings
    (dish, dish with content) of sample and residue, and half a per cent of the residue.

    Args:
        sample: brine weighed in [g].
        dry: what is left of it when it no longer loses weight [g].
        balance: smallest step of the balance [g].
        passed: cheese that went through, per litre of brine [kg/L]; widens the low side.

    Raises:
        CavewatchError: for weights that are not above zero.
        ImpossibleReadingError: for more residue than saturated salt leaves.
    """
    for what, grams in (("sample", sample), ("balance's step", balance)):
        if not 0.0 < grams < float("inf"):
            raise CavewatchError(f"the {what} is {grams:g} g; it must be above 0")
    if not 0.0 <= dry < sample:
        raise CavewatchError(
            f"the dry residue is {dry:g} g; it must be from 0 to less than the sample, {sample:g} g"
        )
    percent = 100.0 * dry / sample
    weighing = balance / 2.0 * 2.0**0.5
    spread = 100.0 / sample * hypot(weighing, weighing * dry / sample, _STILL_DAMP * dry)
    if percent - spread > STRONGEST:
        raise ImpossibleReadingError(
            f"{dry:g} g from {sample:g} g is {percent:.1f} %, more than the {STRONGEST:.1f} % of "
            "saturated salt; dry it until it no longer loses weight, and look for salt grains in "
            "the sample or whey in old brine"
        )
    expected = min(percent, STRONGEST)
    return Measured(
        Span(
            max(expected - spread - whey(passed, 1.0), 0.0),
            expected,
            min(expected + spread, STRONGEST),
        ),
        "dried sample",
        (
            "what is left in the dish is salt with everything else that was dissolved, so this "
            "is an upper estimate",
            *whey_remarks(passed),
        ),
    )
