"""What instruments say of one brine, each with its range, and what they say together."""

from collections.abc import Sequence
from dataclasses import dataclass

from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError, OutOfRangeError

WHEY = 4.0
"""Solids other than salt that a kilogram of cheese leaves in brine, at most [g].
Judgement: a kilogram gives off about 35 g of whey of 6 % solids, and acid and calcium on
top; nothing read."""

MOST_WHEY = 40.0
"""Solids other than salt in a very old brine [g/L]. Judgement; nothing read."""

_LITRE = 1150.0
"""A litre of brine of usual strength [g]."""


class ImpossibleReadingError(OutOfRangeError):
    """A reading that no brine can give, in one sentence."""

    def __init__(self, sentence: str) -> None:
        CavewatchError.__init__(self, sentence)


@dataclass(frozen=True, slots=True)
class Measured:
    """The strength of a brine as measured."""

    strength: Span
    """Strength [% w/w]; the range holds it nineteen times in twenty if nothing is wrong."""
    by: str
    """The instrument or instruments."""
    remarks: tuple[str, ...] = ()
    """What to bear in mind, one sentence each."""


def whey(passed: float | None, taken_for_salt: float) -> float:
    """How much stronger an instrument may read for the whey in old brine [% w/w].

    Args:
        passed: cheese that went through, per litre of brine [kg/L]; None or 0 for none.
        taken_for_salt: grams of salt that a gram of whey solids looks like.

    Raises:
        CavewatchError: for less than no cheese.
    """
    if passed is None:
        return 0.0
    if not passed >= 0.0:
        raise CavewatchError(
            f"the cheese that went through is {passed:g} kg per litre; it cannot be below 0"
        )
    return 100.0 * taken_for_salt * min(WHEY * passed, MOST_WHEY) / _LITRE


def whey_remarks(passed: float | None) -> tuple[str, ...]:
    """What to bear in mind with a brine that cheese has gone through."""
    if not passed:
        return ()
    return (
        "whey from the cheese makes old brine read high; the low end allows for it (judgement)",
    )


def together(measured: Sequence[Measured]) -> Measured:
    """What several measurements of one brine say: the mean weighted by inverse variance.

    Each half width counts as two standard deviations. Averaging narrows the high side
    only: whey raises every instrument at once, so the low side stays as wide as that of
    the best one. Where some do not overlap, the two farthest apart are named, and the range
    covers all.

    Raises:
        CavewatchError: if there are none.
    """
    if not measured:
        raise CavewatchError("there is no reading of the brine; give at least one")
    if len(measured) == 1:
        return measured[0]
    spans = [each.strength for each in measured]
    weights = [1.0 / max((span.high - span.low) / 2.0, 1e-6) ** 2 for span in spans]
    mean = sum(w * span.expected for w, span in zip(weights, spans, strict=True)) / sum(weights)
    half = sum(weights) ** -0.5
    whole = Span(min(span.low for span in spans), mean, max(span.high for span in spans))
    below = max(half, min(span.expected - span.low for span in spans))
    joined = Span(max(mean - below, whole.low), mean, min(mean + half, whole.high))
    weakest = min(measured, key=lambda each: each.strength.high)
    strongest = max(measured, key=lambda each: each.strength.low)
    apart = weakest.strength.high < strongest.strength.low
    remarks = [_disagreement(weakest, strongest)] if apart else []
    remarks += [remark for each in measured for remark in each.remarks]
    return Measured(
        whole if apart else joined,
        " and ".join(each.by for each in measured),
        tuple(dict.fromkeys(remarks)),
    )


def _disagreement(low: Measured, high: Measured) -> str:
    return (
        f"the {low.by} says {low.strength.expected:.1f} % and the {high.by} "
        f"{high.strength.expected:.1f} %, which do not agree: whey in old brine counts about "
        "twice as much for a refractometer or a dried sample as for a hydrometer, or one of "
        "them has another scale or calibration than was said"
    )
