"""A cheese style: what it wants of salt, brine and cave, each figure with its source."""

from dataclasses import dataclass
from enum import StrEnum

from cavewatch.core.shape import Proportions


class Method(StrEnum):
    """How a style is salted."""

    BRINE = "brine"
    DRY = "dry"
    MILLED = "milled"


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
class Limits:
    """A range for a measured quantity; None where the style sets no edge."""

    low: float | None
    high: float | None
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


@dataclass(frozen=True, slots=True)
class MilledPlan:
    """How salt is milled into the curd."""

    retention: Figure
    """Part of the salt put on that stays in the cheese [-]."""
    cheese_per_curd: Figure
    """Mass of pressed cheese per mass of milled curd [-]."""


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


StyleBook = dict[str, Style]
"""Styles by id."""
