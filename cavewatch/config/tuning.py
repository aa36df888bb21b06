"""How sensitive the alarms of a channel are, where the maker wants it otherwise."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from cavewatch import units
from cavewatch.config import values
from cavewatch.config.faults import Faults, near_miss
from cavewatch.config.lines import KeyPath
from cavewatch.config.tables import Key, Single, Table
from cavewatch.core.alarms.limits import Tunings, tuning
from cavewatch.core.errors import CavewatchError
from cavewatch.core.place import Place
from cavewatch.core.reading import PLAUSIBLE, Channel, Quantity

_delay = values.amount(units.duration, 0.0, 86400.0, "s")


def _table(quantity: Quantity) -> Table:
    warm = quantity is Quantity.TEMPERATURE
    typed, unit = (units.temperature, "degC") if warm else (units.humidity, "%")
    edge = values.amount(typed, *PLAUSIBLE[quantity], unit)
    example = '"18 degC"' if warm else "98"
    return Table(
        {
            "deadband": Key(Single(values.amount(None, 0.0, 20.0, unit)), "deadband = 0.5", None),
            "on_delay": Key(Single(_delay), 'on_delay = "10 min"', None),
            "off_delay": Key(Single(_delay), 'off_delay = "5 min"', None),
            "low_low": Key(Single(edge), f"low_low = {example}", None),
            "high_high": Key(Single(edge), f"high_high = {example}", None),
            "urgent_delay": Key(Single(_delay), 'urgent_delay = "2 min"', None),
            "rate": Key(
                Single(values.amount(None, 0.0, 100.0, f"{unit} an hour")), "rate = 2.0", None
            ),
            "drift": Key(Single(values.yes_or_no), "drift = true", None),
            "forecast": Key(Single(values.yes_or_no), "forecast = true", None),
            "latching": Key(Single(values.yes_or_no), "latching = false", None),
        }
    )


TUNING = {quantity: _table(quantity) for quantity in Quantity}
"""The keys for a channel; one that is left out keeps its starting value."""


@dataclass(frozen=True, slots=True)
class TuningEntry:
    """What stands below [tuning."PLACE.QUANTITY"]."""

    def read(self, value: Any, path: KeyPath, faults: Faults) -> dict[str, Any] | None:
        """The keys by name, in the unit of the channel that the table is named for."""
        try:
            channel = Channel.named(str(path[-1]))
        except CavewatchError as fault:
            faults.add(path, str(fault))
            return None
        read = TUNING[channel.quantity].read(value, path, faults)
        low, high = (read["low_low"], read["high_high"]) if read else (None, None)
        if low is not None and high is not None and low >= high:
            faults.add(
                (*path, "low_low"),
                f"{low:g} is not below high_high, {high:g}; write the lower one here",
            )
        return read


def check_places(tables: Mapping[str, Any], places: Iterable[str], faults: Faults) -> None:
    """Note channels of places that are not there."""
    places = list(places)
    for name, table in tables.items():
        if table is not None and (place := Channel.named(name).place) not in places:
            near = near_miss(place, places) or f"; write one of {', '.join(places)}"
            faults.add(("tuning", name), f"there is no place '{place}'{near}")


def tunings(tables: Mapping[str, Mapping[str, Any]], places: Iterable[Place]) -> Tunings:
    """The whole tuning of every channel that the file names, from tables without fault."""
    kinds = {place.name: place.kind for place in places}
    found = {}
    for name, table in tables.items():
        channel = Channel.named(name)
        own = {key: value for key, value in table.items() if value is not None}
        if own.get("rate") == 0.0:
            own["rate"] = None
        start = tuning(kinds[channel.place], channel.quantity)
        found[channel] = replace(start, **own)
    return found
