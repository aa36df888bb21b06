"""What a name in a line, a log or a register map feeds, and keys that all sensors share."""

from dataclasses import dataclass
from typing import Any

from cavewatch import units
from cavewatch.config import values
from cavewatch.config.faults import Faults, found
from cavewatch.config.lines import KeyPath
from cavewatch.config.tables import Key, Named, Single, Table
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.sensor import Field, Unit

MOST_OFFSET = 10.0
"""A larger correction means a broken sensor, not a calibration [degC or %]. Judgement."""

OFFSET = Key(
    Single(values.amount(None, -MOST_OFFSET, MOST_OFFSET, "degC or %")), "offset = -0.3", 0.0
)

FIELD = Table(
    {
        "channel": Key(Single(values.channel), 'channel = "lower cave.temperature"'),
        "unit": Key(Single(values.one_of(Unit)), 'unit = "degC"', None),
        "offset": OFFSET,
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


interval = values.amount(units.duration, 1.0, 86400.0, "s")
"""How far readings are apart."""

FIELDS = Named(_FieldEntry())
NAME = Key(Single(values.text(24)), 'name = "lower cave probe"')
EVERY = Key(Single(interval), 'every = "30 s"', 30.0)
