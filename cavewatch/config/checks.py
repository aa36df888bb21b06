"""What must fit together between the tables of a config file."""

import os
from collections.abc import Iterator, Mapping
from typing import Any

from cavewatch.config import notices
from cavewatch.config.faults import Faults, near_miss
from cavewatch.config.lines import KeyPath
from cavewatch.config.tuning import check_places
from cavewatch.core.place import PlaceKind
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.sensor import LineFormat
from cavewatch.units import quoted


def check(values: Mapping[str, Any], names: list[str], faults: Faults) -> None:
    """Note what does not fit; a value that is faulty in itself (None) is passed over.

    Args:
        values: the file as the schema reads it.
        names: every place's name as written, faulty ones too.
        faults: where to note.
    """
    _places(values, faults)
    _sensors(values, faults)
    taken: dict[Channel, KeyPath] = {}
    for path, sensor in _tables(values, "sensor"):
        _fields(sensor, path, names, taken, faults)
    for path, wire in _tables(values, "modbus"):
        _wire(wire, path, faults)
        for slave_path, slave in _tables(wire, "slave", path):
            _fields(slave, slave_path, names, taken, faults)
    for path, probe in _tables(values, "one_wire"):
        _probe(probe, path, names, taken, faults)
    for path, topic in _tables(values["mqtt"] or {}, "sensor", ("mqtt",)):
        _fields(topic, path, names, taken, faults)
    for path, grown in _tables(values, "follow"):
        _fields(grown, path, names, taken, faults)
    if values["log"] is not None:
        _fields(values["log"], ("log",), names, {}, faults)
    check_places(values["tuning"] or {}, names, faults)
    notices.check(list(_tables(values, "notice")), values["heartbeat"], faults)


def _tables(
    values: Mapping[str, Any], name: str, path: KeyPath = ()
) -> Iterator[tuple[KeyPath, dict[str, Any]]]:
    """The readable tables of an array within the table at `path`, with their own paths."""
    for position, table in enumerate(values.get(name) or ()):
        if table is not None:
            yield (*path, name, position), table


def _places(values: Mapping[str, Any], faults: Faults) -> None:
    seen: dict[str, KeyPath] = {}
    for path, place in _tables(values, "place"):
        _once(place["name"], (*path, "name"), "name of a place", seen, faults)
        if place["kind"] is PlaceKind.TUB and place["brine"] is None:
            faults.add((*path, "brine"), "a tub needs its brine; write strength and temperature")
        elif place["kind"] not in (PlaceKind.TUB, None) and place["brine"] is not None:
            faults.add(
                (*path, "brine"),
                f"a {place['kind']} holds no brine; write kind = 'tub' or leave it",
            )


def _sensors(values: Mapping[str, Any], faults: Faults) -> None:
    names: dict[str, KeyPath] = {}
    ports: dict[str, KeyPath] = {}
    behind = values["mqtt"] or {}
    for key, found in (
        ("port", _tables(values, "sensor")),
        ("port", _tables(values, "modbus")),
        ("file", _tables(values, "one_wire")),
        ("file", _tables(values, "follow")),
        ("topic", _tables(behind, "sensor", ("mqtt",))),
    ):
        for path, sensor in found:
            _once(sensor["name"], (*path, "name"), "name of a sensor", names, faults)
            if key != "topic" and sensor[key] is not None:
                device = os.path.realpath(sensor[key])
                _once(device, (*path, key), f"{key} of a sensor", ports, faults)
            if sensor.get("columns"):
                _columns(sensor, path, faults)


def _columns(sensor: dict[str, Any], path: KeyPath, faults: Faults) -> None:
    if sensor["format"] in (LineFormat.PAIRS, LineFormat.JSON):
        faults.add(
            (*path, "columns"),
            f"lines in the format '{sensor['format']}' have no columns; write format = 'columns'",
        )
    known = {column.casefold() for column in sensor["columns"]}
    for name in sensor["fields"] or ():
        if name.casefold() not in known:
            near = near_miss(name, sensor["columns"]) or "; write one of them"
            faults.add((*path, "fields", name), f"there is no such name among the columns{near}")


def _wire(wire: dict[str, Any], path: KeyPath, faults: Faults) -> None:
    """Slaves that can be told apart, registers that are there, and time to ask them all."""
    seen: dict[str, KeyPath] = {}
    for here, slave in _tables(wire, "slave", path):
        if slave["id"] is not None:
            _once(str(slave["id"]), (*here, "id"), "id of a slave", seen, faults)
        known = slave["registers"]
        for name in (slave["fields"] or ()) if known is not None else ():
            if name not in known:
                near = near_miss(name, known) or f"; write one of {', '.join(map(quoted, known))}"
                faults.add((*here, "fields", name), f"there is no such register{near}")
    if None not in (wire["slave"], wire["timeout"], wire["every"]):
        # A slave that is silent takes its time-out twice, and the others must not seem silent too.
        least = 2.0 * wire["timeout"] * len(wire["slave"])
        if wire["every"] < least:
            faults.add(
                (*path, "every"),
                f"{wire['every']:g} s is too short to wait for every slave; write "
                f"at least {least:g} s or a shorter timeout",
            )


def _probe(
    probe: dict[str, Any],
    path: KeyPath,
    names: list[str],
    taken: dict[Channel, KeyPath],
    faults: Faults,
) -> None:
    channel, here = probe["channel"], (*path, "channel")
    if channel is None:
        return
    if channel.quantity is not Quantity.TEMPERATURE:
        faults.add(
            here, f"a one-wire probe measures no {channel.quantity}; write PLACE.temperature"
        )
    _feeds(channel, here, names, taken, faults)


def _fields(
    table: dict[str, Any],
    path: KeyPath,
    names: list[str],
    taken: dict[Channel, KeyPath],
    faults: Faults,
) -> None:
    """Fields of one sensor or log: their names, their places, and one field for each channel."""
    seen: dict[str, KeyPath] = {}
    for name, field in (table["fields"] or {}).items():
        here = (*path, "fields", name)
        _once(name, here, "name of a field", seen, faults)
        if not name.strip() or not name.isprintable():
            faults.add(here, "the name is empty or has control characters; write plain letters")
        if field is None:
            continue
        _feeds(field.channel, here, names, taken, faults)


def _feeds(
    channel: Channel,
    here: KeyPath,
    names: list[str],
    taken: dict[Channel, KeyPath],
    faults: Faults,
) -> None:
    """A channel of a place that there is, fed from nowhere else."""
    if channel.place not in names:
        near = near_miss(channel.place, names) or f"; write one of {', '.join(map(quoted, names))}"
        faults.add(here, f"there is no place '{channel.place}'{near}")
    if channel in taken:
        line = faults.line(taken[channel])
        faults.add(here, f"'{channel}' is fed already from line {line}; write another channel")
    taken.setdefault(channel, here)


def _once(
    word: str | None, path: KeyPath, what: str, seen: dict[str, KeyPath], faults: Faults
) -> None:
    """Note a word that stands for two things; large and small letters are the same here."""
    if word is None:
        return
    if word.casefold() in seen:
        line = faults.line(seen[word.casefold()])
        faults.add(path, f"this is the {what} on line {line} already; write another one")
    seen.setdefault(word.casefold(), path)
