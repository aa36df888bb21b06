"""Which columns of a log file hold what, from its title line."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from cavewatch.core.errors import CavewatchError
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.sensor import Field, LogSettings, Unit
from sensors.faults import SensorError, listed, shown

_TITLE = re.compile(r"([^\[\]]+?)\s*(?:[\[(]([^\[\]()]*)[\])])?")
_OWN_UNIT = {Quantity.TEMPERATURE: Unit.CELSIUS, Quantity.HUMIDITY: Unit.PERCENT}
_EXAMPLE = "'time,lower cave.temperature,lower cave.humidity'"


@dataclass(frozen=True, slots=True)
class Layout:
    """Where a row holds its time and its values."""

    width: int
    """Number of columns."""
    time: tuple[int, ...]
    """Columns that make up the time, in order."""
    values: tuple[tuple[int, str, Field], ...]
    """Column, title fit to be shown, and what it feeds."""
    faults: tuple[str, ...]
    """Columns that were meant and cannot be used, one sentence each."""


def layout(titles: Sequence[str], settings: LogSettings) -> Layout:
    """Find the columns that the settings name, or else those titled with a channel's name.

    Raises:
        SensorError: without a time or without any column to read; it says which
            titles were found and what to write.
    """
    places: dict[str, int] = {}
    for index, title in enumerate(titles):
        if places.setdefault(title.casefold(), index) != index and title:
            raise SensorError(f"the title '{shown(title)}' stands twice; rename one of the columns")
    missing = [title for title in settings.time_columns if title.casefold() not in places]
    if missing:
        raise SensorError(
            f"there is no column {listed(missing)} for the time among {listed(titles)}; "
            f"write a title line such as {_EXAMPLE} or name the log's time columns and "
            "delimiter in the settings"
        )
    time = tuple(places[title.casefold()] for title in settings.time_columns)
    values, faults = [], []
    if settings.fields:
        for title, field in settings.fields.items():
            if title.casefold() in places:
                values.append((places[title.casefold()], shown(title), field))
            else:
                faults.append(f"there is no column '{shown(title)}'")
    else:
        for index, title in enumerate(titles):
            if index not in time and title:
                try:
                    values.append((index, shown(title), field_named(title)))
                except CavewatchError as fault:
                    faults.append(f"the column '{shown(title)}' is left out: {fault}")
    if not values:
        raise SensorError(
            f"none of the columns {listed(titles)} can be read; "
            f"write a title line such as {_EXAMPLE} or name the log's columns in the settings"
        )
    return Layout(len(titles), time, tuple(values), tuple(faults))


def field_named(title: str, usual: Unit | None = None) -> Field:
    """What a title such as 'lower cave.temperature [degF]' says.

    Args:
        title: the channel, and the unit if it is not the usual one.
        usual: the unit of a title that names none; None for the channel's own.

    Raises:
        CavewatchError: for any other title.
    """
    found = _TITLE.fullmatch(title)
    if found is None or not title.isprintable():
        raise SensorError("it names no channel")
    channel = Channel.named(found[1])
    if found[2] is None:
        fits = usual is not None and usual.quantity is channel.quantity
        return Field(channel, usual if usual and fits else _OWN_UNIT[channel.quantity])
    fitting = [unit for unit in Unit if unit.quantity is channel.quantity]
    if found[2] not in fitting:
        raise SensorError(f"its unit is none of {listed(fitting)}")
    return Field(channel, Unit(found[2]))
