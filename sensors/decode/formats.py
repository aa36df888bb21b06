"""One line of each format to its raw values by name, names in lower case."""

import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set

from cavewatch.core.sensor import LineFormat
from sensors.faults import SensorError, shown

_PLAIN = re.compile(rb"[\t -~]*")
_PAIR = re.compile(r"([A-Za-z_][^\s,;=]*)\s*=\s*([^=]*)")
_GAP_BEFORE_NUMBER = re.compile(r"\s*=\s*(?=[-+.\d])")


def plain(line: bytes) -> str:
    """The line's text; raise SensorError for bytes that are none."""
    if not _PLAIN.fullmatch(line):
        raise SensorError("it holds bytes that are not plain text, as with a wrong baud rate")
    return line.decode("ascii").strip()


def told(line: str) -> LineFormat:
    """The format that a line's marks belong to."""
    if line.startswith("{"):
        return LineFormat.JSON
    return LineFormat.PAIRS if "=" in line else LineFormat.COLUMNS


def pairs(line: str) -> Mapping[str, object]:
    """`T=12.3 H=88.1`."""
    for parts in _splits(_GAP_BEFORE_NUMBER.sub("=", line)):
        found = [_PAIR.fullmatch(part) for part in parts if part]
        if found and all(found):
            return _by_name((pair[1], pair[2]) for pair in found if pair)
    raise SensorError("it is not made of name=value pairs")


def header(line: str, wanted: Set[str]) -> tuple[str, ...]:
    """The columns' names if this line names every wanted one; else nothing."""
    mark = next((mark for mark in "\t;," if mark in line), None)
    names = tuple(part.strip() for part in line.split(mark))
    return names if wanted <= {name.casefold() for name in names} else ()


def columns(line: str, names: Sequence[str]) -> Mapping[str, object]:
    """`12.3,88.1` under the names of its columns."""
    for parts in _splits(line):
        if len(parts) == len(names):
            return _by_name(zip(names, parts, strict=True))
    raise SensorError(f"it does not hold one value for each of the {len(names)} columns")


def flat_object(line: str) -> Mapping[str, object]:
    """`{"t": 12.3, "rh": 88.1}`."""
    try:
        found = json.loads(line, object_pairs_hook=_by_name)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise SensorError("it is not a JSON object")
    return found


def _splits(line: str) -> Iterator[list[str]]:
    """Ways to part a line; those first in which a comma can only be a decimal comma."""
    for mark in "\t;":
        if mark in line:
            yield [part.strip() for part in line.split(mark)]
    yield [word.strip(",") for word in line.split()]
    yield [part.strip() for part in line.split(",")]


def _by_name(parts: Iterable[tuple[str, object]]) -> dict[str, object]:
    values: dict[str, object] = {}
    for name, value in parts:
        key = name.strip().casefold()
        if key in values:
            raise SensorError(f"'{shown(name)}' stands twice in it")
        values[key] = value
    return values
