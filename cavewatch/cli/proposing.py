"""Settings that would read what was heard from a port, ready to be pasted into the config."""

import json
import re
from collections.abc import Iterator

from cavewatch.cli.listening import Heard, whole_seconds
from cavewatch.config import Config
from cavewatch.core.place import PlaceKind
from cavewatch.core.reading import Quantity
from cavewatch.core.sensor import LineFormat, Unit
from sensors.decode.guess import Understood, unit

_USUAL = (Unit.CELSIUS, Unit.PERCENT)


def sensor(port: str, heard: Heard, last: Understood, config: Config | None) -> Iterator[str]:
    """The lines of a [[sensor]] table.

    Args:
        port: path that stays the same.
        heard: what came.
        last: the line that the names are taken from.
        config: of the dairy, for its places; None if there is none that can be read.
    """
    yield "[[sensor]]"
    yield f"name = {quoted(_new_name(config))}"
    yield f"port = {quoted(port)}"
    yield f"baud = {heard.baud}"
    yield f"format = {quoted(last.format)}"
    if last.format is LineFormat.COLUMNS:
        yield f"columns = [{', '.join(map(quoted, heard.columns or last.values))}]"
    every = whole_seconds(heard.every)
    yield 'every = "30 s"    # a guess' if every is None else f'every = "{every} s"'
    yield "[sensor.fields]"
    free = _free(config)
    guessed = {name: unit(name, *value) for name, value in last.values.items()}
    for name, found in guessed.items():
        channel = None if found is None else next(free[found.quantity], None)
        if found is None or channel is None:
            wanted = "PLACE.temperature" if found is None else f"PLACE.{found.quantity}"
            yield f"#{key(name)} = {quoted(wanted)}    # say what it measures, and where"
        elif found in _USUAL:
            yield f"{key(name)} = {quoted(channel)}    # is this its place?"
        else:
            yield (
                f"{key(name)} = {{ channel = {quoted(channel)}, unit = {quoted(found)} }}"
                "    # are this its place and its unit?"
            )


def modbus(port: str, config: Config | None) -> Iterator[str]:
    """The lines of a [[modbus]] table with the common map of registers."""
    yield "[[modbus]]"
    yield f"name = {quoted(_new_name(config))}"
    yield f"port = {quoted(port)}"
    yield "baud = 9600    # as its manual says, parity too"
    yield "[[modbus.slave]]"
    yield "id = 1"
    yield 'registers = "tenths"'
    yield "[modbus.slave.fields]"
    free = _free(config)
    for quantity in Quantity:
        channel = next(free[quantity], None)
        if channel is None:
            yield f'#{quantity} = "PLACE.{quantity}"    # say where it is'
        else:
            yield f"{quantity} = {quoted(channel)}    # is this its place?"


def _free(config: Config | None) -> dict[Quantity, Iterator[str]]:
    """Channels that nothing feeds yet, of caves first; none without a config."""
    places = [] if config is None else list(config.places)
    places.sort(key=lambda place: place.kind is not PlaceKind.CAVE)
    fed = set() if config is None else {f.channel for s in config.sensors for f in s.feeds}
    known = {str(channel) for channel in fed}
    return {
        quantity: iter(
            [name for place in places if (name := f"{place.name}.{quantity}") not in known]
        )
        for quantity in Quantity
    }


def _new_name(config: Config | None) -> str:
    taken = set() if config is None else {sensor.name.casefold() for sensor in config.sensors}
    names = ("new sensor", *(f"new sensor {number}" for number in range(2, len(taken) + 3)))
    return next(name for name in names if name not in taken)


def key(name: str) -> str:
    """A name as TOML writes it before an equals sign."""
    return name if re.fullmatch("[A-Za-z0-9_-]+", name) else quoted(name)


def quoted(text: str) -> str:
    """As TOML writes it, which for text without control characters is as JSON does."""
    return json.dumps(str(text), ensure_ascii=False)
