"""How a source of readings is set up: plain values that the config makes and `sensors` uses."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum

from cavewatch.core.broker import BrokerSettings
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

    @property
    def feeds(self) -> Collection[Field]:
        """What its lines feed."""
        return self.fields.values()


class Parity(StrEnum):
    """The parity bit of a serial line."""

    NONE = "none"
    EVEN = "even"
    ODD = "odd"


class RegisterKind(StrEnum):
    """Which of a Modbus slave's tables a register stands in."""

    INPUT = "input"
    """Read with function 4."""
    HOLDING = "holding"
    """Read with function 3."""


class RegisterType(StrEnum):
    """How a number lies in 16-bit registers, the high byte of each first."""

    INT16 = "int16"
    UINT16 = "uint16"
    INT32 = "int32"
    UINT32 = "uint32"
    FLOAT32 = "float32"

    @property
    def words(self) -> int:
        """How many registers it takes."""
        return 1 if self in (RegisterType.INT16, RegisterType.UINT16) else 2


@dataclass(frozen=True, slots=True)
class Register:
    """One measured value in a Modbus slave."""

    address: int
    """As it goes over the wire, from 0."""
    kind: RegisterKind
    type: RegisterType
    scale: float
    """What the number is multiplied by to give the field's unit."""
    low_word_first: bool = False
    """True if of two registers the first is the low half."""


@dataclass(frozen=True, slots=True)
class SlaveSettings:
    """One transmitter on a Modbus wire."""

    id: int
    """Its address on the wire, from 1 to 247."""
    registers: Mapping[str, Register]
    """By a name of the maker's choice."""
    fields: Mapping[str, Field]
    """By the register's name; registers without a field are not read."""


@dataclass(frozen=True, slots=True)
class ModbusSettings:
    """An RS-485 wire with Modbus RTU transmitters, all asked in turn."""

    name: str
    """The wire's name, shown to people."""
    port: str
    """Device path of the adapter."""
    baud: int
    parity: Parity
    stop_bits: int
    timeout: float
    """Longest wait for an answer [s]."""
    every: float
    """How often each is asked [s]; three missed readings mean silence."""
    slaves: tuple[SlaveSettings, ...]

    @property
    def feeds(self) -> Collection[Field]:
        """What all slaves feed."""
        return [field for slave in self.slaves for field in slave.fields.values()]


@dataclass(frozen=True, slots=True)
class OneWireSettings:
    """A one-wire temperature probe behind the kernel's own driver."""

    name: str
    """The probe's name, shown to people."""
    file: str
    """Path of the kernel's file, .../w1_slave."""
    field: Field
    """What it feeds; the file speaks degC."""
    every: float
    """How often it is read [s]; three missed readings mean silence."""

    @property
    def feeds(self) -> Collection[Field]:
        """What it feeds, as of any sensor."""
        return (self.field,)


MILLISECONDS = "ms"
"""Stands for a time format where times are milliseconds since 1970 UTC."""


@dataclass(frozen=True, slots=True)
class LogSettings:
    """How the columns of a log file map onto channels."""

    fields: Mapping[str, Field]
    """By column title; empty for a log whose titles are channel names themselves."""
    time_columns: tuple[str, ...] = ("time",)
    """Columns whose texts, joined by a space, are the time."""
    time_format: str = ""
    """A strptime format, or MILLISECONDS; empty for ISO 8601 or seconds since 1970."""
    header_line: int = 1
    """Line on which the titles stand."""
    delimiter: str = ","
    year: int | None = None
    """Put every reading into this year, for files whose months come from different years."""
    zone: str = "UTC"
    """IANA zone of times without offset; fixed offsets as 'Etc/GMT+5'."""
    newest_first: bool = False
    """Rows run from the newest to the oldest; such a file is held whole while it is read."""


@dataclass(frozen=True, slots=True)
class FollowSettings:
    """A log file to which another program adds lines."""

    name: str
    """The log's name, shown to people."""
    file: str
    """Its path; it need not be there yet."""
    every: float
    """How far its rows are apart [s]; three missed rows mean silence."""
    log: LogSettings
    """How its rows are read; it names the columns."""

    @property
    def feeds(self) -> Collection[Field]:
        """What its columns feed."""
        return self.log.fields.values()


@dataclass(frozen=True, slots=True)
class TopicSettings:
    """A sensor that sends one message for each reading to an MQTT broker."""

    name: str
    """The sensor's name, shown to people."""
    topic: str
    """Without wildcards."""
    format: LineFormat
    columns: tuple[str, ...]
    """As for a port; a message that is nothing but a number is a line of one column."""
    fields: Mapping[str, Field]
    """By the name used in the message."""
    every: float
    """How often it sends [s]; three missed readings mean silence."""
    broker: BrokerSettings

    @property
    def feeds(self) -> Collection[Field]:
        """What its messages feed."""
        return self.fields.values()


SensorSettings = PortSettings | ModbusSettings | OneWireSettings | TopicSettings | FollowSettings
"""Whatever the recorder listens to or asks."""
