"""The range of a channel: the intersection of what the wheels there want."""

from collections.abc import Iterable
from dataclasses import dataclass

from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.reading import Quantity
from cavewatch.core.style import Limits, Stage
from cavewatch.core.wheel import Standing, Wheel

DAY = 86400.0


@dataclass(frozen=True, slots=True)
class Edge:
    """One end of a range."""

    value: float
    """In the channel's unit."""
    whose: str
    """The style and stage, or 'config', that sets it."""


@dataclass(frozen=True, slots=True)
class Range:
    """What a channel may read; an edge is None where nobody sets one."""

    low: Edge | None
    high: Edge | None
    clash: str = ""
    """Set when the wheels there want what cannot be had together, in words."""

    def misses(self, value: float) -> float:
        """How far outside the value lies: negative below, positive above, 0 inside."""
        if self.high is not None and value > self.high.value:
            return value - self.high.value
        if self.low is not None and value < self.low.value:
            return value - self.low.value
        return 0.0


def stage_of(wheel: Wheel, at: float) -> Stage | None:
    """The stage of its life after salting that a wheel is in [at: s since 1970 UTC].

    Counted from the end of salting; from the making if that is not on record.
    None while it is in salt and for a style without stages.
    """
    if wheel.standing is not Standing.AGING or not wheel.style.stages:
        return None
    start = wheel.made_at if wheel.salted_out_at is None else wheel.salted_out_at
    age = (at - start) / DAY
    for stage in wheel.style.stages:
        if stage.days is None or age < stage.days:
            return stage
        age -= stage.days
    return wheel.style.stages[-1]


def wanted(
    wheel: Wheel, kind: PlaceKind, quantity: Quantity, at: float
) -> tuple[str, Limits] | None:
    """Whose limits, and which, a wheel brings to a channel of the place it is in.

    In a tub the brine's temperature counts. Elsewhere the stage decides; a
    wheel still in dry salt wants nothing of its tray that the style book knows.
    """
    if kind is PlaceKind.TUB:
        if wheel.style.brine is None or quantity is not Quantity.TEMPERATURE:
            return None
        return f"{wheel.style.name}, in brine", wheel.style.brine.temperature
    stage = stage_of(wheel, at)
    if stage is None:
        return None
    limits = stage.temperature if quantity is Quantity.TEMPERATURE else stage.humidity
    return None if limits is None else (f"{wheel.style.name}, {stage.name}", limits)


def range_of(place: Place, quantity: Quantity, wheels: Iterable[Wheel], at: float) -> Range:
    """The range of one quantity at a place, from the wheels that are in it at that time.

    A place whose wheels ask for nothing keeps the range of the config. An
    empty intersection is reported as a clash between the two that set the edges,
    and its edges are then the two that clash: low above high.
    """
    asked = [
        want
        for wheel in wheels
        if wheel.place == place.name
        and wheel.standing is not Standing.ENDED
        and (want := wanted(wheel, place.kind, quantity, at)) is not None
    ]
    if not asked and quantity in place.own:
        asked = [("config", place.own[quantity])]
    lows = [Edge(limits.low, whose) for whose, limits in asked if limits.low is not None]
    highs = [Edge(limits.high, whose) for whose, limits in asked if limits.high is not None]
    low = max(lows, key=lambda edge: edge.value, default=None)
    high = min(highs, key=lambda edge: edge.value, default=None)
    clash = ""
    if low is not None and high is not None and low.value > high.value:
        clash = (
            f"{low.whose} wants {quantity} of at least {low.value:g}, "
            f"{high.whose} of at most {high.value:g}"
        )
    return Range(low, high, clash)
