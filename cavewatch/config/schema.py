"""Every key of the config file."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cavewatch import units
from cavewatch.config import values
from cavewatch.config.faults import Faults, found
from cavewatch.config.lines import KeyPath
from cavewatch.config.notices import HEARTBEAT, NOTICE
from cavewatch.config.sensors import LOG, MODBUS, ONE_WIRE, SENSOR, follow, mqtt
from cavewatch.config.tables import Key, Named, Single, Table, Tables
from cavewatch.config.texts import TEXT
from cavewatch.config.tuning import TuningEntry
from cavewatch.core.brine.strength import STRONGEST
from cavewatch.core.place import PlaceKind
from cavewatch.core.reading import PLAUSIBLE, Quantity

_DAY = 86400.0
_degrees = values.amount(units.temperature, *PLAUSIBLE[Quantity.TEMPERATURE], "degC")
_percent = values.amount(units.humidity, 0.0, 100.0, "%")

_DAIRY = Table(
    {
        "name": Key(Single(values.text(40)), 'name = "Our Dairy"'),
        "zone": Key(Single(values.zone), 'zone = "Europe/Dublin"'),
        "units": Key(Single(values.one_of(units.System)), 'units = "metric"', units.System.METRIC),
        "initials": Key(Single(values.text(8)), 'initials = "AB"', ""),
        "styles": Key(Single(values.texts), 'styles = ["gouda"]', ()),
        "bell": Key(Single(values.yes_or_no), "bell = true", True),
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


@dataclass(frozen=True, slots=True)
class _Raw:
    """A table that is handed on unread."""

    def read(self, value: Any, path: KeyPath, faults: Faults) -> dict[str, Any] | None:
        """The table as it stands in the file."""
        if not isinstance(value, dict):
            faults.add(path, f"{found(value)} is no style; write its keys below [style.ID]")
            return None
        return value


_CLOCK = Table({"always_right": Key(Single(values.yes_or_no), "always_right = true", False)})


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
            "keep_readings": Key(
                Single(values.amount(units.duration, 30 * _DAY, 7305 * _DAY, "s")),
                'keep_readings = "800 days"',
                800 * _DAY,
            ),
        }
    )
    return Table(
        {
            "dairy": Key(_DAIRY, '[dairy] with name = "Our Dairy" below it'),
            "store": Key(store, "[store]", store.defaults()),
            "clock": Key(_CLOCK, "[clock]", _CLOCK.defaults()),
            "place": Key(Tables(_PLACE), '[[place]] with name = "lower cave" below it'),
            "sensor": Key(Tables(SENSOR), "[[sensor]]", []),
            "modbus": Key(Tables(MODBUS), "[[modbus]]", []),
            "one_wire": Key(Tables(ONE_WIRE), "[[one_wire]]", []),
            "mqtt": Key(mqtt(folder), "[mqtt]", None),
            "follow": Key(Tables(follow(folder)), "[[follow]]", []),
            "log": Key(LOG, "[log]", None),
            "style": Key(Named(_Raw()), "[style.ID]", {}),
            "tuning": Key(Named(TuningEntry()), '[tuning."lower cave.humidity"]', {}),
            "alarm_text": Key(Named(TEXT), '[alarm_text."humidity low"]', {}),
            "notice": Key(Tables(NOTICE), "[[notice]]", []),
            "heartbeat": Key(HEARTBEAT, "[heartbeat]", None),
        }
    )
