"""A cheese style: what it wants of salt, brine and cave, each figure with its source."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from cavewatch.core.countdown import Action
from cavewatch.core.reading import Quantity
from cavewatch.core.shape import Proportions


class Method(StrEnum):
    """How a style is salted."""

    BRINE = "brine"
    DRY = "dry"
    MILLED = "milled"


class Start(StrEnum):
    """The moment from which days are counted."""

    MAKE = "make"
    RENNETING = "renneting"
    MOULDING = "moulding"
    BRINE_OUT = "brine out"
    """The end of salting, dry salting as well."""
    CAVE_ENTRY = "cave entry"


@dataclass(frozen=True, slots=True)
class Figure:
    """A number with its range and where it comes from."""

    value: float
    """The expected value."""
    low: float
    """The lowest value still usual."""
    high: float
    """The highest value still usual."""
    source: str
    """A source that was read, 'common practice, no source', or 'from memory'."""


@dataclass(frozen=True, slots=True)
class When:
    """Edges that take the place of others while something else reads high."""

    quantity: Quantity
    """What else is measured at the place."""
    above: float
    """They hold while that reads more than this [its unit]."""
    low: float | None = None
    """None: the low edge is the same."""
    high: float | None = None
    """None: the high edge is the same."""


@dataclass(frozen=True, slots=True)
class Limits:
    """A range for a measured quantity; None where the style sets no edge."""

    low: float | None
    high: float | None
    source: str
    when: When | None = None
    """Other edges for another state of the place, such as a warm cave."""
    low_low: float | None = None
    """A second edge, far below the low one, beyond which it is urgent; None for none."""
    high_high: float | None = None
    """Likewise above."""

    def at(self, measured: Mapping[Quantity, float]) -> "Limits":
        """The plain range that holds at a place where this is measured.

        Where the quantity in question is not measured both cases hold: a dead
        probe must not hide what the other one sees.
        """
        if self.when is None:
            return self
        read = measured.get(self.when.quantity)
        if read is not None and read <= self.when.above:
            return replace(self, when=None)
        low = self.low if self.when.low is None else self.when.low
        high = self.high if self.when.high is None else self.when.high
        if read is None:
            low = max((e for e in (self.low, low) if e is not None), default=None)
            high = min((e for e in (self.high, high) if e is not None), default=None)
        return replace(self, low=low, high=high, when=None)


@dataclass(frozen=True, slots=True)
class Care:
    """Work on the rind that comes back again and again."""

    action: Action
    """TURN or one of `CARE`."""
    every: float
    """[day]"""
    source: str


@dataclass(frozen=True, slots=True)
class Stage:
    """One stretch of a wheel's life after salting, in the order of the style."""

    name: str
    """What the trade calls it, such as 'drying', 'warm room', 'cave'."""
    days: float | None
    """Its length [day]; None for the last one, which lasts until the wheel is ended."""
    temperature: Limits | None
    """Air temperature [degC]."""
    humidity: Limits | None
    """Relative humidity [%]."""
    care: str
    """What to do with the rind in this stage, in words."""
    works: tuple[Care, ...] = ()
    """The same as tasks, where it has an interval."""


@dataclass(frozen=True, slots=True)
class MinimumAge:
    """An age that a rule asks for before the cheese is sold; never a proof that it is safe."""

    rule: str
    """Whose rule, such as 'raw milk, USA'."""
    days: float
    """[day]"""
    start: Start
    """Where its clock starts."""
    source: str
    warm: float | None = None
    """Time colder than this does not count [degC]; None: all of it counts."""
    storage: float | None = None
    """Longest stay in a store [h], which does not count; None: it counts, however long."""


@dataclass(frozen=True, slots=True)
class BrinePlan:
    """What the style wants of its brine."""

    strength: Figure
    """Salt in the brine [% w/w]."""
    temperature: Limits
    """Brine temperature [degC]."""


@dataclass(frozen=True, slots=True)
class DryPlan:
    """How the style is coated with dry salt."""

    dose: Figure
    """Salt put on over all coats together [% of the wheel's weight]."""
    hours: tuple[float, ...]
    """When each coat goes on, counted from the first [h]."""
    retention: Figure
    """Part of the salt put on that stays in the cheese [-]."""
    temperature: Limits | None = None
    """Air while salt is on it [degC]."""
    humidity: Limits | None = None
    """Air while salt is on it [%]."""


@dataclass(frozen=True, slots=True)
class MilledPlan:
    """How salt is milled into the curd."""

    retention: Figure
    """Part of the salt put on that stays in the cheese [-]."""
    cheese_per_curd: Figure
    """Mass of pressed cheese per mass of milled curd [-]."""


@dataclass(frozen=True, slots=True)
class Usual:
    """A brining that the maker knows to bring this style to its aim."""

    time: float
    """In brine [h]."""
    weight: float
    """Of the wheel, in the style's usual shape [g]."""
    strength: float
    """Of the brine [% w/w]."""
    temperature: float
    """Of the brine [degC]."""


@dataclass(frozen=True, slots=True)
class Style:
    """One style of the style book."""

    id: str
    """Short name used in commands and the journal, such as 'gouda'."""
    name: str
    """The name shown to people."""
    family: str
    """The family it is filed under, such as 'semi-hard'."""
    moisture: Figure
    """Water in the cheese as it goes to salt [% w/w]."""
    salt: Figure
    """Salt in the finished cheese: aim, too little below `low`, spoiled above `high` [% w/w]."""
    methods: tuple[Method, ...]
    """The methods the style allows; the first is the usual one."""
    proportions: Proportions
    """Its usual shape."""
    weight: Figure
    """Usual weight of one wheel [g]."""
    density: Figure
    """Density of the paste [g/cm3]."""
    loss: Figure
    """Weight lost from the lift until it is ready [% of the weight at the lift]."""
    diffusivity: Figure
    """Diffusivity of salt in the paste's moisture at 12 degC, as published [cm2/day]."""
    rate: Figure
    """Factor on the diffusivity while a face takes up salt [-]; published
    diffusivities over-predict what makers see."""
    brine: BrinePlan | None
    """Given where the style can be brined."""
    dry: DryPlan | None
    """Given where the style can be dry-salted."""
    milled: MilledPlan | None
    """Given where salt can be milled into the curd."""
    stages: tuple[Stage, ...]
    """Life after salting, in order."""
    ready_days: Figure | None
    """Age at which it is usually ready [day]."""
    notes: tuple[str, ...] = ()
    """Cautions and legal minima, each with its source in the text."""
    usual: Usual | None = None
    """Stated by the maker; it then sets the rate until assays do."""
    stages_start: Start = Start.BRINE_OUT
    """Where the days of the stages are counted from; the first begins with the end of salting."""
    ages: tuple[MinimumAge, ...] = ()
    """Ages that rules ask for."""
    made_here: bool = False
    """Whether the maker names it among those that are made, so that it is offered first."""


StyleBook = dict[str, Style]
"""Styles by id."""
