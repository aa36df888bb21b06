"""What a file of readings seems to hold, for the maker to confirm."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from cavewatch import clock
from cavewatch.config import Config
from cavewatch.core.errors import CavewatchError
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.sensor import MILLISECONDS, Field, LogSettings
from cavewatch.units import Display, System
from sensors.decode.values import measured
from sensors.faults import SensorError, listed, shown
from sensors.foreign import Column, Examined, Stated, examine
from sensors.log import LogFile
from sensors.titles import field_named

_TABS = {"\t": "a tab", " ": "a space"}


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the maker says of all files; what is left out is guessed."""

    stated: Stated = field(default_factory=Stated)
    place: str | None = None
    """Where columns belong whose titles name no place."""
    columns: Mapping[str, str] = field(default_factory=dict)
    """Channel, perhaps with its unit in brackets, by title."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """How one file would be read."""

    path: Path
    settings: LogSettings
    lines: tuple[str, ...]
    """The same in words."""


def propose(path: Path, wanted: Wanted, config: Config) -> Proposal:
    """Look at a file, in the light of the config and of what the maker says.

    Raises:
        CavewatchError: naming the file and what to say, if it cannot be read as it is.
    """
    logged = _as_in_config(path, wanted, config)
    month_first = config.units is System.US
    found = examine(path, logged, config.zone, month_first=month_first)
    fields, left = _fields(path, found.columns, wanted, config)
    if not fields:
        why = "; ".join(left) or "no column holds numbers"
        raise CavewatchError(f"{shown(path.name)}: there is nothing to import: {why}")
    year = config.log.year if config.log and logged is not wanted.stated else None
    settings = replace(found.settings, fields=fields, year=year)
    return Proposal(path, settings, tuple(_words(path, found, settings, left, config)))


def _as_in_config(path: Path, wanted: Wanted, config: Config) -> Stated:
    """What the config's [log] says of a file that has its columns; else what the maker says."""
    log = config.log
    if log is None or not log.fields or wanted.stated != Stated():
        return wanted.stated
    try:
        LogFile(path, log)
    except SensorError:
        return wanted.stated
    return Stated(log.delimiter, log.header_line, log.time_columns, log.time_format, log.zone)


def _fields(
    path: Path, columns: tuple[Column, ...], wanted: Wanted, config: Config
) -> tuple[dict[str, Field], list[str]]:
    """What each column feeds by its title, and why the others are left out."""
    said = {title.casefold(): channel for title, channel in wanted.columns.items()}
    titles = {column.title.casefold() for column in columns}
    for title in wanted.columns:
        if title.casefold() not in titles:
            raise CavewatchError(
                f"{shown(path.name)}: there is no column '{shown(title)}' with numbers"
            )
    fields: dict[str, Field] = {}
    left: list[str] = []
    unknown: list[str] = []
    # What is said outright comes before what is guessed.
    for column in sorted(columns, key=lambda column: column.title.casefold() not in said):
        words = said.get(column.title.casefold())
        try:
            meant = _meant(path, column, words, wanted, config)
            if meant is None:
                unknown.append(column.title)
                continue
            if meant.channel in (field.channel for field in fields.values()):
                raise CavewatchError(f"another column is {meant.channel} already")
        except CavewatchError as fault:
            if words is not None:
                where = f"{shown(path.name)}: '{shown(column.title)}'"
                raise CavewatchError(f"{where}: {fault}") from fault
            left.append(f"'{shown(column.title)}' is left out: {fault}")
        else:
            fields[column.title] = meant
    if unknown:
        left.append(
            f"left out: {listed(unknown)}; if one is meant, say "
            "--column 'TITLE = PLACE.temperature'"
        )
    return fields, left


def _meant(
    path: Path, column: Column, said: str | None, wanted: Wanted, config: Config
) -> Field | None:
    """What a column feeds; None if nothing tells what it measures.

    Raises:
        CavewatchError: if nothing tells where, or there is no such place.
    """
    if said is not None:
        return _known(field_named(said, column.unit), config)
    logged = {} if config.log is None else config.log.fields
    for title, meant in logged.items():
        if title.casefold() == column.title.casefold():
            return meant
    try:
        named = field_named(column.title)
    except CavewatchError:
        if column.unit is None:
            return None
    else:
        return _known(named, config)
    place = _place(path, column, wanted, config)
    return _known(Field(Channel(place, column.unit.quantity), column.unit), config)


def _place(path: Path, column: Column, wanted: Wanted, config: Config) -> str:
    """Where a column belongs: named in its title, by the maker or in the file's name, or the only
    place that there is."""
    names = sorted((place.name for place in config.places), key=len, reverse=True)
    title = _plain(column.title)
    found = next((name for name in names if _plain(name) in title), wanted.place)
    if found is None:
        stem = _plain(path.stem)
        found = next((name for name in names if _plain(name) in stem), None)
    if found is None and len(names) == 1:
        found = names[0]
    if found is None:
        raise CavewatchError(
            f"nothing tells where it was; say it: --place PLACE, or --column "
            f"'{shown(column.title)} = PLACE.{column.unit.quantity if column.unit else '...'}'"
        )
    return found


def _plain(text: str) -> str:
    """A name to look for in another: its words in blanks, so that 'cave 1' is not in 'cave 10'."""
    words = "".join(mark if mark.isalnum() else " " for mark in text.casefold()).split()
    return f" {' '.join(words)} "


def _known(meant: Field, config: Config) -> Field:
    """The same, with the place as the config writes it."""
    for place in config.places:
        if place.name.casefold() == meant.channel.place.casefold():
            return replace(meant, channel=Channel(place.name, meant.channel.quantity))
    names = ", ".join(place.name for place in config.places)
    raise CavewatchError(f"there is no place '{shown(meant.channel.place)}'; write one of {names}")


def _words(
    path: Path, found: Examined, settings: LogSettings, left: list[str], config: Config
) -> Iterator[str]:
    display = Display(config.units)
    sign = _TABS.get(settings.delimiter, f"'{settings.delimiter}'")
    yield f"{shown(path.name)}: titles in line {settings.header_line}, columns parted by {sign}"
    columns = " and ".join(f"'{shown(title)}'" for title in settings.time_columns)
    yield f"  time from {columns}, {_form(settings.time_format)}, {_zone(found, settings)}"
    zone = clock.zone(config.zone)
    first = next(iter(LogFile(path, settings).readings()), None)
    if first is not None:
        yield f"    the first reading is of {clock.local(first.at, zone):%a %d %b %Y %H:%M:%S %Z}"
    if settings.newest_first:
        yield "    the newest row comes first"
    if found.other_format:
        yield (
            "    day and month may be the other way round: then say "
            f"--time-format '{found.other_format}'"
        )
    examples = {column.title: column.example for column in found.columns}
    for title, meant in settings.fields.items():
        show = (
            display.temperature
            if meant.channel.quantity is Quantity.TEMPERATURE
            else display.humidity
        )
        reading = measured(meant, 0.0, examples[title])
        value = "no value" if reading.value is None else show(reading.value)
        yield (
            f"  column '{shown(title)}' is {meant.channel} in {meant.unit}: "
            f"'{shown(examples[title])}' is {value}"
        )
    for words in left:
        yield f"  {words}"


def _form(form: str) -> str:
    if form == MILLISECONDS:
        return "milliseconds since 1970"
    return f"in the form '{form}'" if form else "in ISO 8601 or seconds since 1970"


def _zone(found: Examined, settings: LogSettings) -> str:
    told = ", as the title says" if found.zone_told else " where they name no offset"
    return f"in the zone {settings.zone}{told}"
