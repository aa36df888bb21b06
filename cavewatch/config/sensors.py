"""The tables of everything that gives readings, and the core's settings made of them."""

from pathlib import Path
from typing import Any

from cavewatch import units
from cavewatch.config import values
from cavewatch.config.fields import EVERY, FIELDS, NAME, OFFSET, interval
from cavewatch.config.registers import REGISTERS
from cavewatch.config.tables import Key, Single, Table, Tables
from cavewatch.core.broker import BrokerSettings
from cavewatch.core.sensor import (
    Field,
    FollowSettings,
    LineFormat,
    LogSettings,
    ModbusSettings,
    OneWireSettings,
    Parity,
    PortSettings,
    SensorSettings,
    SlaveSettings,
    TopicSettings,
    Unit,
)

LOG_EVERY = 300.0
"""How far the rows of a log are apart if nobody says [s]. Judgement."""

_PORT = Key(Single(values.text()), 'port = "/dev/serial/by-id/..."')
_BAUD = Key(Single(values.whole(50, 4_000_000)), "baud = 9600", 9600)
_FORMAT = Key(Single(values.one_of(LineFormat)), 'format = "auto"', LineFormat.AUTO)
_COLUMNS = Key(Single(values.texts), 'columns = ["T", "H"]', ())

SENSOR = Table(
    {
        "name": NAME,
        "port": _PORT,
        "baud": _BAUD,
        "format": _FORMAT,
        "columns": _COLUMNS,
        "every": EVERY,
        "fields": Key(FIELDS, '[sensor.fields] with T = "lower cave.temperature" below it'),
    }
)

_SLAVE = Table(
    {
        "id": Key(Single(values.whole(1, 247)), "id = 1"),
        "registers": Key(REGISTERS, 'registers = "tenths" or [modbus.slave.registers]'),
        "fields": Key(
            FIELDS, '[modbus.slave.fields] with temperature = "lower cave.temperature" below it'
        ),
    }
)

MODBUS = Table(
    {
        "name": NAME,
        "port": _PORT,
        "baud": _BAUD,
        "parity": Key(Single(values.one_of(Parity)), 'parity = "none"', Parity.NONE),
        "stop_bits": Key(Single(values.whole(1, 2)), "stop_bits = 1", 1),
        "timeout": Key(
            Single(values.amount(units.duration, 0.05, 5.0, "s")), 'timeout = "1 s"', 1.0
        ),
        "every": EVERY,
        "slave": Key(Tables(_SLAVE), "[[modbus.slave]] with id = 1 below it"),
    }
)

ONE_WIRE = Table(
    {
        "name": NAME,
        "file": Key(Single(values.text()), 'file = "/sys/bus/w1/devices/28-.../w1_slave"'),
        "channel": Key(Single(values.channel), 'channel = "brine tub.temperature"'),
        "offset": OFFSET,
        "every": EVERY,
    }
)

_ROWS = {
    "time_columns": Key(Single(values.texts), 'time_columns = ["time"]', ("time",)),
    "time_format": Key(Single(values.time_format), 'time_format = "%d/%m/%Y %H:%M"', ""),
    "header_line": Key(Single(values.whole(1, 1000)), "header_line = 1", 1),
    "delimiter": Key(Single(values.delimiter), 'delimiter = ","', ","),
    "year": Key(Single(values.whole(1970, 9998)), "year = 2026", None),
    "zone": Key(Single(values.zone), 'zone = "UTC"', None),
    "every": Key(Single(interval), 'every = "5 min"', LOG_EVERY),
}
_COLUMN = '.fields] with "Dry-bulb (C)" = "lower cave.temperature"'

LOG = Table(_ROWS | {"fields": Key(FIELDS, f"[log{_COLUMN}", {})})


def follow(folder: Path) -> Table:
    """A log that grows; `folder` is where relative paths start."""
    return Table(
        {
            "name": NAME,
            "file": Key(Single(values.path(folder)), 'file = "/srv/logger/today.csv"'),
            **_ROWS,
            "fields": Key(FIELDS, f"[follow{_COLUMN} below it"),
        }
    )


_TOPIC = Table(
    {
        "name": NAME,
        "topic": Key(Single(values.topic), 'topic = "dairy/cave-probe"'),
        "format": _FORMAT,
        "columns": _COLUMNS,
        "every": EVERY,
        "fields": Key(FIELDS, '[mqtt.sensor.fields] with T = "lower cave.temperature" below it'),
    }
)


def mqtt(folder: Path) -> Table:
    """The broker and what it sends; `folder` is where relative paths start."""
    return Table(
        {
            "host": Key(Single(values.text()), 'host = "localhost"', "localhost"),
            "port": Key(Single(values.whole(1, 65_535)), "port = 1883", None),
            "tls": Key(Single(values.yes_or_no), "tls = true", False),
            "ca_file": Key(Single(values.file(folder)), 'ca_file = "ca.crt"', None),
            "user": Key(Single(values.text()), 'user = "cavewatch"', ""),
            "password_file": Key(
                Single(values.file(folder)), 'password_file = "mqtt-password"', None
            ),
            "prefix": Key(Single(values.topic), 'prefix = "cavewatch"', "cavewatch"),
            "publish": Key(Single(values.yes_or_no), "publish = true", False),
            "sensor": Key(Tables(_TOPIC), "[[mqtt.sensor]] with a topic below it", []),
        }
    )


def sensors(
    tables: dict[str, Any], zone: str, broker: BrokerSettings | None
) -> tuple[SensorSettings, ...]:
    """Everything that gives readings; `zone` is the dairy's."""
    return (
        *(PortSettings(**sensor) for sensor in tables["sensor"]),
        *map(_modbus, tables["modbus"]),
        *map(_one_wire, tables["one_wire"]),
        *((_topic(sensor, broker) for sensor in tables["mqtt"]["sensor"]) if broker else ()),
        *(_follow(log, zone) for log in tables["follow"]),
    )


def broker(given: dict[str, Any] | None) -> BrokerSettings | None:
    """The broker, if the file names one."""
    if given is None:
        return None
    settings = {key: value for key, value in given.items() if key != "sensor"}
    for key in ("ca_file", "password_file"):
        settings[key] = "" if settings[key] is None else str(settings[key])
    settings["port"] = settings["port"] or (8883 if settings["tls"] else 1883)
    return BrokerSettings(**settings)


def log_settings(given: dict[str, Any], zone: str) -> LogSettings:
    """How a log file is read; `zone` is the dairy's."""
    settings = {key: value for key, value in given.items() if key != "every"}
    return LogSettings(**settings | {"zone": given["zone"] or zone})


def _modbus(given: dict[str, Any]) -> ModbusSettings:
    wire = {key: value for key, value in given.items() if key != "slave"}
    return ModbusSettings(**wire, slaves=tuple(SlaveSettings(**slave) for slave in given["slave"]))


def _one_wire(given: dict[str, Any]) -> OneWireSettings:
    field = Field(given["channel"], Unit.CELSIUS, given["offset"])
    return OneWireSettings(given["name"], given["file"], field, given["every"])


def _topic(given: dict[str, Any], broker: BrokerSettings) -> TopicSettings:
    # A message that is nothing but a number can only be the one field that there is.
    names = tuple(given["fields"])
    columns = given["columns"] or (names if len(names) == 1 else ())
    return TopicSettings(**given | {"columns": columns}, broker=broker)


def _follow(given: dict[str, Any], zone: str) -> FollowSettings:
    rows = {key: value for key, value in given.items() if key not in ("name", "file")}
    return FollowSettings(
        given["name"], str(given["file"]), given["every"], log_settings(rows, zone)
    )
