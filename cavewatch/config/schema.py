"""Every key of the config file."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cavewatch import units
from cavewatch.config import values
from cavewatch.config.faults import Faults, found
from cavewatch.config.lines import KeyPath
from cavewatch.config.registers import REGISTERS
from cavewatch.config.tables import Key, Named, Single, Table, Tables
from cavewatch.config.texts import TEXT
from cavewatch.config.tuning import TuningEntry
from cavewatch.core.brine.strength import STRONGEST
from cavewatch.core.place import PlaceKind
from cavewatch.core.reading import PLAUSIBLE, Channel, Quantity
from cavewatch.core.sensor import Field, LineFormat, Parity, Unit

LOG_EVERY = 300.0
"""How far the rows of a log are apart if nobody says [s]. Judgement."""

OFFSET = 10.0
"""A larger correction means a broken sensor, not a calibration [degC or %]. Judgement."""

_degrees = values.amount(units.temperature, *PLAUSIBLE[Quantity.TEMPERATURE], "degC")
_percent = values.amount(units.humidity, 0.0, 100.0, "%")
_interval = values.amount(units.duration, 1.0, 86400.0, "s")

_DAIRY = Table(
    {
        "name": Key(Single(values.text(40)), 'name = "Our Dairy"'),
        "zone": Key(Single(values.zone), 'zone = "Europe/Dublin"'),
        "units": Key(Single(values.one_of(units.System)), 'units = "metric"', units.System.METRIC),
        "initials": Key(Single(values.text(8)), 'initials = "AB"', ""),
    }
)

_BRINE = Table(
    {
        "strength": Key(
            Single(values.amount(units.strength, 1.0, STRONGEST, "% by weight")),
            'strength = "20 %"',
        ),
        "volume": Key(
            Single(values.amount(units.volume, 0.1, 100_000.0, "L")), 'volume = "60 L"', None
        ),
        "temperature": Key(
            Single(values.amount(units.temperature, -20.0, 60.0, "degC")), 'temperature = "12 degC"'
        ),
        "stirred": Key(Single(values.yes_or_no), "stirred = true", False),
    }
)

_PLACE = Table(
    {
        "name": Key(Single(values.place_name), 'name = "lower cave"'),
        "kind": Key(Single(values.one_of(PlaceKind)), 'kind = "cave"'),
        "temperature": Key(
            Single(values.limits(_degrees, '["10 degC", "14 degC"]')),
            'temperature = ["10 degC", "14 degC"]',
            None,
        ),
        "humidity": Key(Single(values.limits(_percent, "[85, 95]")), "humidity = [85, 95]", None),
        "fixed": Key(Single(values.yes_or_no), "fixed = true", False),
        "brine": Key(_BRINE, "[place.brine]", None),
    }
)

_OFFSET = Key(Single(values.amount(None, -OFFSET, OFFSET, "degC or %")), "offset = -0.3", 0.0)

FIELD = Table(
    {
        "channel": Key(Single(values.channel), 'channel = "lower cave.temperature"'),
        "unit": Key(Single(values.one_of(Unit)), 'unit = "degC"', None),
        "offset": _OFFSET,
    }
)


@dataclass(frozen=True, slots=True)
class _FieldEntry:
    """What a name in a line or a log stands for: a channel, or a table with its details."""

    def read(self, value: Any, path: KeyPath, faults: Faults) -> Field | None:
        """The field; a channel alone is in degC or %."""
        if isinstance(value, str):
            value = {"channel": value}
        elif not isinstance(value, dict):
            faults.add(path, f"{found(value)} names no channel; write 'PLACE.temperature'")
            return None
        details = FIELD.read(value, path, faults)
        if details is None or details["channel"] is None:
            return None
        channel: Channel = details["channel"]
        unit: Unit | None = details["unit"]
        if unit is None:
            unit = Unit.CELSIUS if channel.quantity is Quantity.TEMPERATURE else Unit.PERCENT
        if unit.quantity is not channel.quantity:
            fitting = " or ".join(other for other in Unit if other.quantity is channel.quantity)
            faults.add(
                (*path, "unit"), f"'{unit}' is no unit of {channel.quantity}; write {fitting}"
            )
        return Field(channel, unit, details["offset"] or 0.0)


@dataclass(frozen=True, slots=True)
class _Raw:
    """A table that is handed on unread."""

    def read(self, value: Any, path: KeyPath, faults: Faults) -> dict[str, Any] | None:
        """The table as it stands in the file."""
        if not isinstance(value, dict):
            faults.add(path, f"{found(value)} is no style; write its keys below [style.ID]")
            return None
        return value


_FIELDS = Named(_FieldEntry())

_NAME = Key(Single(values.text(24)), 'name = "lower cave probe"')
_PORT = Key(Single(values.text()), 'port = "/dev/serial/by-id/..."')
_BAUD = Key(Single(values.whole(50, 4_000_000)), "baud = 9600", 9600)
_EVERY = Key(Single(_interval), 'every = "30 s"', 30.0)

_SENSOR = Table(
    {
        "name": _NAME,
        "port": _PORT,
        "baud": _BAUD,
        "format": Key(Single(values.one_of(LineFormat)), 'format = "auto"', LineFormat.AUTO),
        "columns": Key(Single(values.texts), 'columns = ["T", "H"]', ()),
        "every": _EVERY,
        "fields": Key(_FIELDS, '[sensor.fields] with T = "lower cave.temperature" below it'),
    }
)

_SLAVE = Table(
    {
        "id": Key(Single(values.whole(1, 247)), "id = 1"),
        "registers": Key(REGISTERS, 'registers = "tenths" or [modbus.slave.registers]'),
        "fields": Key(
            _FIELDS, '[modbus.slave.fields] with temperature = "lower cave.temperature" below it'
        ),
    }
)

_MODBUS = Table(
    {
        "name": _NAME,
        "port": _PORT,
        "baud": _BAUD,
        "parity": Key(Single(values.one_of(Parity)), 'parity = "none"', Parity.NONE),
        "stop_bits": Key(Single(values.whole(1, 2)), "stop_bits = 1", 1),
        "timeout": Key(
            Single(values.amount(units.duration, 0.05, 5.0, "s")), 'timeout = "1 s"', 1.0
        ),
        "every": _EVERY,
        "slave": Key(Tables(_SLAVE), "[[modbus.slave]] with id = 1 below it"),
    }
)

_ONE_WIRE = Table(
    {
        "name": _NAME,
        "file": Key(Single(values.text()), 'file = "/sys/bus/w1/devices/28-.../w1_slave"'),
        "channel": Key(Single(values.channel), 'channel = "brine tub.temperature"'),
        "offset": _OFFSET,
        "every": _EVERY,
    }
)

_LOG = Table(
    {
        "time_columns": Key(Single(values.texts), 'time_columns = ["time"]', ("time",)),
        "time_format": Key(Single(values.time_format), 'time_format = "%d/%m/%Y %H:%M"', ""),
        "header_line": Key(Single(values.whole(1, 1000)), "header_line = 1", 1),
        "delimiter": Key(Single(values.delimiter), 'delimiter = ","', ","),
        "year": Key(Single(values.whole(1970, 9998)), "year = 2026", None),
        "zone": Key(Single(values.zone), 'zone = "UTC"', None),
        "every": Key(Single(_interval), 'every = "5 min"', LOG_EVERY),
        "fields": Key(_FIELDS, '[log.fields] with "Dry-bulb (C)" = "lower cave.temperature"', {}),
    }
)


def schema(folder: Path) -> Table:
    """The whole file; `folder` is where relative paths start."""
    store = Table(
        {
            "path": Key(Single(values.file(folder)), 'path = "cavewatch.sqlite"', None),
            "commit_every": Key(
                Single(values.amount(units.duration, 1.0, 600.0, "s")),
                'commit_every = "10 s"',
                10.0,
            ),
        }
    )
    return Table(
        {
            "dairy": Key(_DAIRY, '[dairy] with name = "Our Dairy" below it'),
            "store": Key(store, "[store]", store.defaults()),
            "place": Key(Tables(_PLACE), '[[place]] with name = "lower cave" below it'),
            "sensor": Key(Tables(_SENSOR), "[[sensor]]", []),
            "modbus": Key(Tables(_MODBUS), "[[modbus]]", []),
            "one_wire": Key(Tables(_ONE_WIRE), "[[one_wire]]", []),
            "log": Key(_LOG, "[log]", None),
            "style": Key(Named(_Raw()), "[style.ID]", {}),
            "tuning": Key(Named(TuningEntry()), '[tuning."lower cave.humidity"]', {}),
            "alarm_text": Key(Named(TEXT), '[alarm_text."humidity low"]', {}),
        }
    )
