"""The range of a channel: the intersection of what the wheels there want."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.reading import Quantity
from cavewatch.core.stages import stage_of
from cavewatch.core.style import DryPlan, Limits, Stage
from cavewatch.core.wheel import Standing, Wheel

Show = Callable[[Quantity, float], str]
"""A value, or a difference of values, in the maker's own units."""

BRINE = Limits(
    None,
    16.0,
    "Food-processing handbook, table of ripening: brine of 14-16 degC; "
    "judgement: that none should be warmer",
)
"""Temperature of any brine [degC]."""

NOTHING: Mapping[Quantity, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Edge:
    """One end of a range."""

    value: float
    """In the channel's unit."""
    whose: str
    """The style and stage, 'the brine' or 'config', that sets it."""


@dataclass(frozen=True, slots=True)
class Range:
    """What a channel may read; an edge is None where nobody sets one."""

    low: Edge | None
    high: Edge | None
    low_low: Edge | None = None
    """A second edge, far out, beyond which it is urgent."""
    high_high: Edge | None = None

    @property
    def clash(self) -> bool:
        """Whether those who set the edges want what cannot be had together."""
        return self.low is not None and self.high is not None and self.low.value > self.high.value

    @property
    def compromise(self) -> float | None:
        """What is nearest to both in a clash: the middle of the gap; None without a clash."""
        if self.low is None or self.high is None or not self.clash:
            return None
        return (self.low.value + self.high.value) / 2

    def misses(self, value: float) -> float:
        """How far outside the value lies: negative below, positive above, 0 inside."""
        if self.high is not None and value > self.high.value:
            return value - self.high.value
        if self.low is not None and value < self.low.value:
            return value - self.low.value
        return 0.0


def clash_words(quantity: Quantity, limits: Range, show: Show, apart: Show) -> str:
    """Who clashes, and the nearest compromise; empty where nobody does.

    Args:
        quantity: of the channel.
        limits: its range.
        show: a value in words, such as '14.5 °C'.
        apart: a difference in words, such as '1.5 °C'.
    """
    middle = limits.compromise
    if limits.low is None or limits.high is None or middle is None:
        return ""
    low, high = limits.low, limits.high
    missed = apart(quantity, middle - high.value)
    return (
        f"{low.whose} wants {quantity} of at least {show(quantity, low.value)}, "
        f"{high.whose} of at most {show(quantity, high.value)}; nearest to both is "
        f"{show(quantity, middle)}, which misses each by {missed}"
    )


def wanted(
    wheel: Wheel, kind: PlaceKind, quantity: Quantity, at: float
) -> tuple[str, Limits] | None:
    """Whose limits, and which, a wheel brings to a channel of the place it is in.

    In a tub the brine's temperature counts, in dry salt what the style wants
    while salt is on, after that the stage.
    """
    if kind is PlaceKind.TUB:
        if wheel.style.brine is None or quantity is not Quantity.TEMPERATURE:
            return None
        return f"{wheel.style.name}, in brine", wheel.style.brine.temperature
    stage, dry = stage_of(wheel, at), wheel.style.dry
    wants: Stage | DryPlan | None = stage
    state = "" if stage is None else stage.name
    if wheel.standing is Standing.IN_DRY_SALT:
        wants, state = dry, "in dry salt"
    if wants is None:
        return None
    limits = wants.temperature if quantity is Quantity.TEMPERATURE else wants.humidity
    return None if limits is None else (f"{wheel.style.name}, {state}", limits)


def range_of(
    place: Place,
    quantity: Quantity,
    wheels: Iterable[Wheel],
    at: float,
    measured: Mapping[Quantity, float] = NOTHING,
) -> Range:
    """The range of one quantity at a place, from the wheels that are in it at that time.

    A place with a fixed range, or whose wheels ask for nothing, has that of the
    config. A brine has its own limit too, under whatever the wheels in it ask.
    Where the intersection is empty the edges are the two that clash: low above high.

    Args:
        place: the place.
        quantity: of the channel.
        wheels: of the dairy.
        at: the time [s since 1970 UTC].
        measured: what else is measured there, for limits that depend on it.
    """
    own = place.own.get(quantity)
    asked = []
    if own is None or not place.fixed:
        asked = [
            want
            for wheel in wheels
            if wheel.place == place.name
            and wheel.standing is not Standing.ENDED
            and (want := wanted(wheel, place.kind, quantity, at)) is not None
        ]
    if not asked and own is not None:
        asked = [("config", own)]
    elif place.kind is PlaceKind.TUB and quantity is Quantity.TEMPERATURE:
        asked.append(("the brine", BRINE))
    plain = [(whose, limits.at(measured)) for whose, limits in asked]
    return Range(
        _edge(max, ((limits.low, whose) for whose, limits in plain)),
        _edge(min, ((limits.high, whose) for whose, limits in plain)),
        _edge(max, ((limits.low_low, whose) for whose, limits in plain)),
        _edge(min, ((limits.high_high, whose) for whose, limits in plain)),
    )


def _edge(
    tightest: Callable[..., Edge | None], asked: Iterable[tuple[float | None, str]]
) -> Edge | None:
    edges = (Edge(value, whose) for value, whose in asked if value is not None)
    return tightest(edges, key=lambda edge: edge.value, default=None)
