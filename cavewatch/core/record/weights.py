"""A wheel's weights over its life, and its loss against what is usual for style and size."""

from collections.abc import Iterable
from dataclasses import dataclass

from cavewatch.core.countdown import Span
from cavewatch.core.journal import Entry, Weighed, standing
from cavewatch.core.stages import DAY, ripened
from cavewatch.core.wheel import Wheel

MONTH = 30.4 * DAY
"""[s]"""
BY_SIZE = (
    "calculated: a wheel loses water through its surface, so that a smaller one of the same paste "
    "loses more of its weight; in The Book of Cheese, 1918, table 19, this holds from 12.5 to "
    "35 lb within a sixth, and larger wheels lost less than so reckoned"
)
"""Why the usual loss of a style is taken times the surface of this size over the usual one's."""


@dataclass(frozen=True, slots=True)
class Weight:
    """What a wheel weighed at one time."""

    at: float
    """[s since 1970 UTC]"""
    grams: float
    """[g]"""
    entry: int
    """Number of the entry that says so."""


@dataclass(frozen=True, slots=True)
class WeightCurve:
    """The weights of one wheel, and what they say of its loss."""

    wheel: int
    """Its number."""
    to_salt: Weight
    """As it went to salt."""
    weights: tuple[Weight, ...]
    """Every later weighing, in order."""
    base: Weight | None
    """What its loss is counted from: the first weighing after salting, or its weight as it went
    to salt where there is only one weighing or salting was over before; None before any."""
    lost: float | None
    """By the last weighing [% of `base`]; None while there is nothing to compare."""
    per_month: float | None
    """The same for a month [%]; None for less than a day, and where salting is in it."""
    usual: Span | None
    """Usual in that time for its style and size [%]; None where that cannot be told."""
    sources: tuple[str, ...] = ()
    """Of the usual loss."""

    @property
    def verdict(self) -> str:
        """'as usual', 'more than usual' or 'less than usual'; empty where it cannot be told."""
        if self.lost is None or self.usual is None:
            return ""
        if self.lost > self.usual.high:
            return "more than usual"
        return "less than usual" if self.lost < self.usual.low else "as usual"


def weights(wheel: Wheel, entries: Iterable[Entry]) -> WeightCurve:
    """The weights of a wheel as the journal has them.

    What is usual is a straight line from nothing at the end of salting to the style's `loss`
    when it is usually ready, and stays there: what is beyond is on no record.
    """
    born = wheel.stays[0].at if wheel.stays else wheel.since
    to_salt = Weight(born, wheel.weight, wheel.make)
    found = tuple(
        Weight(entry.at, entry.act.grams, entry.id)
        for entry in standing(entries)
        if isinstance(entry.act, Weighed) and wheel.id in entry.act.wheels and entry.at >= born
    )
    salted = wheel.history and wheel.salted_out_at is None
    out = born if wheel.salted_out_at is None else wheel.salted_out_at
    after = () if salted else tuple(each for each in found if each.at >= out)
    if not after:
        return WeightCurve(wheel.id, to_salt, found, None, None, None, None)
    base = after[0] if wheel.history and len(after) > 1 else to_salt
    last = after[-1]
    lost = 100.0 * (base.grams - last.grams) / base.grams
    took = last.at - base.at
    loss, larger = wheel.style.loss, _surface(wheel)
    part = ripened(wheel, last.at) - ripened(wheel, base.at)
    # From its weight as it went to salt on, the brine's taking is in the loss: not comparable.
    same = base is not to_salt or not wheel.history
    return WeightCurve(
        wheel=wheel.id,
        to_salt=to_salt,
        weights=found,
        base=base,
        lost=lost,
        per_month=lost * MONTH / took if same and took >= DAY else None,
        usual=Span(*(part * larger * edge for edge in (loss.low, loss.value, loss.high)))
        if same and part > 0
        else None,
        sources=(loss.source, BY_SIZE) if same and part > 0 else (),
    )


def _surface(wheel: Wheel) -> float:
    """Surface for its weight, against a wheel of the style's usual weight and shape [-]."""
    style = wheel.style
    usual = style.proportions.sized(style.weight.value / style.density.value)
    return (wheel.shape.area / wheel.shape.volume) / (usual.area / usual.volume)
