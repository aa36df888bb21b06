"""What the set-up has been told so far."""

from dataclasses import dataclass, field

from cavewatch.core.place import PlaceKind
from cavewatch.core.reading import Quantity
from cavewatch.core.sensor import LineFormat, Unit
from cavewatch.units import System


@dataclass(frozen=True, slots=True)
class PlaceAnswer:
    """A place, in the words of the maker: texts with units, as the config takes them."""

    name: str
    kind: PlaceKind
    ranges: dict[Quantity, tuple[str, str]] = field(default_factory=dict)
    """Lowest and highest that is wanted."""
    strength: str = ""
    """Of a tub's brine."""
    volume: str = ""
    """Of a tub's brine; empty where it is not known."""
    temperature: str = ""
    """Of a tub's brine."""


@dataclass(frozen=True, slots=True)
class ValueHeard:
    """One number in the lines that a port sends."""

    name: str
    """As it stands in the line, or in the line of titles."""
    words: str
    """The number with its unit, for people."""
    unit: Unit | None
    """That it is taken for; None if nothing tells what it measures."""


@dataclass(frozen=True, slots=True)
class PortHeard:
    """A serial port, and what came from it."""

    port: str
    """Path for the config, one that stays the same where there is one."""
    description: str
    """What the adapter says of itself."""
    baud: int
    """The speed that is tried."""
    lines: tuple[tuple[str, str], ...] = ()
    """The last lines, each with what was made out of it."""
    trouble: str = ""
    """Why nothing more can come; empty while something can."""
    data: int = 0
    """Bytes that came."""
    format: LineFormat | None = None
    """Of the lines; None until one makes sense."""
    columns: tuple[str, ...] = ()
    """Names of the columns, where the lines have columns."""
    every: int | None = None
    """How often it sends [s]; None where that cannot be told yet."""
    values: tuple[ValueHeard, ...] = ()
    """Those of the last line that made sense."""


@dataclass(frozen=True, slots=True)
class SensorAnswer:
    """A port that is to be read."""

    name: str
    heard: PortHeard
    feeds: dict[str, tuple[str, Unit]]
    """The channel of each value that is wanted, and its unit, by the value's name."""


@dataclass(frozen=True, slots=True)
class Answers:
    """The whole of it."""

    name: str = ""
    """Of the dairy."""
    units: System = System.METRIC
    zone: str = ""
    initials: str = ""
    styles: tuple[str, ...] = ()
    """IDs of those that are made here."""
    places: tuple[PlaceAnswer, ...] = ()
    sensors: tuple[SensorAnswer, ...] = ()
    idle: tuple[PortHeard, ...] = ()
    """Ports that were found and are not read."""
