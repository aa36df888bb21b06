"""From a file of which nothing is known to the settings that would read it."""

from dataclasses import dataclass
from pathlib import Path

from cavewatch.core.sensor import LogSettings
from sensors.faults import SensorError, listed, shown
from sensors.foreign import columns as values
from sensors.foreign import times
from sensors.foreign.columns import Column
from sensors.foreign.sample import sample
from sensors.foreign.shape import Shape, shape


@dataclass(frozen=True, slots=True)
class Stated:
    """What a person says of a file; None for what is to be guessed."""

    delimiter: str | None = None
    header_line: int | None = None
    time_columns: tuple[str, ...] = ()
    time_format: str | None = None
    """Empty for ISO 8601 or seconds since 1970."""
    zone: str | None = None
    """IANA name."""


@dataclass(frozen=True, slots=True)
class Examined:
    """What a file seems to hold."""

    settings: LogSettings
    """How its rows are read; its fields are still to be named."""
    columns: tuple[Column, ...]
    """With numbers, in the file's order."""
    other_format: str
    """Another time format that fits as well; empty if there is none."""
    zone_told: bool
    """Whether the title of the time names its zone."""


def examine(path: Path, stated: Stated, zone: str, *, month_first: bool = False) -> Examined:
    """Look at a sample of a file.

    Args:
        path: the file.
        stated: what is not to be guessed.
        zone: of times without an offset, if neither the person nor a title names one.
        month_first: which of day and month comes first where nothing tells.

    Raises:
        SensorError: naming the file and what to state, if it makes no sense.
        TimeError: for a zone that is not known.
    """
    try:
        found = shape(sample(path), stated.delimiter, stated.header_line)
        if not found.rows:
            raise SensorError("there is no row below the titles")
        places = _named(found, stated.time_columns) or times.columns_of(found.rows)
        titled = next((z for i in places if (z := times.zone_in(found.titles[i]))), None)
        zone = stated.zone or titled or zone
        moments = [" ".join(row[index] for index in places) for row in found.rows]
        moments = [text for text in moments if text.strip()]
        if not moments:
            raise SensorError(f"no row below the titles holds a time in {listed(found.titles)}")
        read = times.read(moments, places, zone, month_first, stated.time_format)
    except SensorError as fault:
        raise SensorError(f"{shown(path.name)}: {fault}") from fault
    settings = LogSettings(
        fields={},
        time_columns=tuple(found.titles[index] for index in places),
        time_format=read.format,
        header_line=found.header_line,
        delimiter=found.delimiter,
        zone=zone,
        newest_first=read.newest_first,
    )
    columns = tuple(values.columns(found, places))
    told = titled is not None and stated.zone is None
    return Examined(settings, columns, read.otherwise, told)


def _named(found: Shape, wanted: tuple[str, ...]) -> tuple[int, ...]:
    """Where the named columns stand."""
    places = {title.casefold(): index for index, title in enumerate(found.titles)}
    for title in wanted:
        if title.casefold() not in places:
            raise SensorError(f"there is no column '{shown(title)}' among {listed(found.titles)}")
    return tuple(places[title.casefold()] for title in wanted)
