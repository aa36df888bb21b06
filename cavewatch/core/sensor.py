"""How a source of readings is set up: plain values that the config makes and `sensors` uses."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from cavewatch.core.reading import Channel, Quantity


class Unit(StrEnum):
    """Units that a sensor or a log may speak."""

    CELSIUS = "degC"
    FAHRENHEIT = "degF"
    PERCENT = "%"
    FRACTION = "1"

    @property
    def quantity(self) -> Quantity:
        """What is measured in this unit."""
        warm = self in (Unit.CELSIUS, Unit.FAHRENHEIT)
        return Quantity.TEMPERATURE if warm else Quantity.HUMIDITY

    def to_channel(self, value: float) -> float:
        """The value in the channel's unit, degC or %."""
        if self is Unit.FAHRENHEIT:
            return (value - 32.0) / 1.8
        return value * 100.0 if self is Unit.FRACTION else value


class LineFormat(StrEnum):
    """What one line from a sensor looks like."""

    AUTO = "auto"
    """Told from the first good lines."""
    PAIRS = "pairs"
    """T=12.3 H=88.1"""
    COLUMNS = "columns"
    """12.3,88.1 with a header line or configured columns"""
    JSON = "json"
    """{"t": 12.3, "rh": 88.1}"""


@dataclass(frozen=True, slots=True)
class Field:
    """One named value of a line or a log, and the channel that it feeds."""

    channel: Channel
    unit: Unit
    offset: float = 0.0
    """Added after conversion, from a calibration check [degC or %]."""


@dataclass(frozen=True, slots=True)
class PortSettings:
    """A serial port that sends one line per reading."""

    name: str
    """The sensor's name, shown to people."""
    port: str
    """Device path, such as /dev/serial/by-id/..."""
    baud: int
    format: LineFormat
    columns: tuple[str, ...]
    """Names of the columns where no header comes; empty to wait for a header."""
    fields: Mapping[str, Field]
    """By the name used in the line."""
    every: float
    """How often it sends [s]; three missed readings mean silence."""


@dataclass(frozen=True, slots=True)
class LogSettings:
    """How the columns of a log file map onto channels."""

    fields: Mapping[str, Field]
    """By column title; empty for a log whose titles are channel names themselves."""
    time_columns: tuple[str, ...] = ("time",)
    """Columns whose texts, joined by a space, are the time."""
    time_format: str = ""
    """A strptime format; empty for ISO 8601 or seconds since 1970."""
    header_line: int = 1
    """Line on which the titles stand."""
    delimiter: str = ","
    year: int | None = None
    """Put every reading into this year, for files whose months come from different years."""
    zone: str = "UTC"
    """IANA zone of times without offset; fixed offsets as 'Etc/GMT+5'."""
