"""Readings as a table: one row for each place and second, or minute, or hour."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from enum import StrEnum
from typing import Literal

from cavewatch.cli.exporting.files import Row, Value
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.signal.record import UNKNOWN, SensorRecord
from cavewatch.store import Bin, Store
from cavewatch.store.spans import Table

_CHUNK = 6 * 3600.0
"""So much is held in memory at once [s]; a whole number of hours."""
_UNITS = {Quantity.TEMPERATURE: "degC", Quantity.HUMIDITY: "percent"}


class Every(StrEnum):
    """What a row stands for."""

    READING = "reading"
    """As it was taken; kept for a time."""
    MINUTE = "minute"
    """All of a minute together; kept for ever, as are hours."""
    HOUR = "hour"

    @property
    def table(self) -> Table:
        """Of the store."""
        return self.value


_WIDTHS: dict[Every, Literal[60, 3600]] = {Every.MINUTE: 60, Every.HOUR: 3600}


def columns(every: Every) -> tuple[str, ...]:
    """The table's; 'corrected' is by the checks of the sensor, empty for one found unfit."""
    names = ["time", "place"]
    for quantity, unit in _UNITS.items():
        if every is Every.READING:
            names += [
                f"{quantity}_{unit}",
                f"{quantity}_corrected_{unit}",
                f"{quantity}_status",
            ]
        else:
            names += [f"{quantity}_{what}_{unit}" for what in ("mean", "low", "high")]
            names += [f"{quantity}_corrected_mean_{unit}", f"{quantity}_readings"]
    return (*names, "dairy")


def rows(
    store: Store,
    channels: Sequence[Channel],
    records: Mapping[Channel, SensorRecord],
    since: float,
    until: float,
    every: Every,
    iso: Callable[[float], str],
    dairy: str,
    progress: Callable[[float], None] = lambda _: None,
) -> Iterator[Row]:
    """The rows by time and place, read piece by piece.

    Args:
        store: with the readings.
        channels: which.
        records: of their sensors.
        since: the first that are given [s since 1970 UTC].
        until: given are those before [s since 1970 UTC].
        every: what a row stands for.
        iso: writes a time.
        dairy: its name, which is in every row.
        progress: is told the part that is done [0 to 1].
    """
    width = len(columns(every)[2:-1]) // len(_UNITS)
    offsets = {quantity: number * width for number, quantity in enumerate(_UNITS)}
    begin = since
    while begin < until:
        end = min(begin // _CHUNK * _CHUNK + _CHUNK, until)
        blank: list[Value] = [None for _ in range(width * len(_UNITS))]
        found: dict[tuple[float, str], list[Value]] = {}
        for channel in channels:
            record, offset = records.get(channel, UNKNOWN), offsets[channel.quantity]
            for at, cells in _cells(store, channel, record, begin, end, every):
                row = found.setdefault((at, channel.place), blank.copy())
                row[offset : offset + width] = cells
        for (at, place), cells in sorted(found.items()):
            yield (iso(at), place, *cells, dairy)
        begin = end
        progress((end - since) / (until - since))


def _cells(
    store: Store,
    channel: Channel,
    record: SensorRecord,
    since: float,
    until: float,
    every: Every,
) -> Iterator[tuple[float, list[Value]]]:
    """What a channel puts into the rows of a stretch."""
    if every is Every.READING:
        for reading in store.readings(channel, since, until):
            yield reading.at, _single(reading, record)
        return
    for found in store.bins(channel, _WIDTHS[every], since, until):
        if found.at >= since:
            yield found.at, _together(channel, found, record)


def _single(reading: Reading, record: SensorRecord) -> list[Value]:
    corrected = None if record.unfit_at(reading.at) else record.corrected(reading).value
    return [
        reading.value,
        None if corrected is None else round(corrected, 2),
        reading.status.value,
    ]


def _together(channel: Channel, found: Bin, record: SensorRecord) -> list[Value]:
    mean = None
    if not record.unfit_at(found.at):
        mean = record.corrected(Reading(channel, found.at, found.mean)).value
    return [
        round(found.mean, 3),
        found.low,
        found.high,
        None if mean is None else round(mean, 3),
        found.n,
    ]
