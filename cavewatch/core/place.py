"""Places: anywhere a wheel or a probe can be."""

from dataclasses import dataclass
from enum import StrEnum

from cavewatch.core.reading import Quantity
from cavewatch.core.style import Limits


class PlaceKind(StrEnum):
    """What a place is for."""

    CAVE = "cave"
    TUB = "tub"
    TRAY = "tray"
    RACK = "rack"
    ROOM = "room"
    STORE = "store"
    """For cheese that waits, cold; a rule may not count the time there."""


@dataclass(frozen=True, slots=True)
class TubBrine:
    """The brine in a tub as the config states it; journal entries overrule it."""

    strength: float
    """Salt [% w/w]."""
    litres: float | None
    """Volume [L], where known."""
    temperature: float
    """Used while no probe reports [degC]."""
    stirred: bool = False
    """Salt that lies on the bottom is stirred, and keeps the brine saturated while it lasts;
    otherwise it does not count."""


@dataclass(frozen=True, slots=True)
class Place:
    """One place of the dairy."""

    name: str
    """Unique name, shown to people."""
    kind: PlaceKind
    """What it is for."""
    own: dict[Quantity, Limits]
    """Ranges set by hand in the config; they hold while no wheel in it asks for its own."""
    brine: TubBrine | None = None
    """Given for a tub, and only there."""
    fixed: bool = False
    """Its own ranges hold whatever the wheels in it ask for."""
