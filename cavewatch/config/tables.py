"""Tables of a config file: which keys they have, and how all of them are read.

Reading never stops at a fault: it notes it and gives None in the place of the
value, so that one look at the file finds everything.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from cavewatch.config.faults import Faults, found, near_miss
from cavewatch.config.lines import KeyPath
from cavewatch.config.values import Convert
from cavewatch.core.errors import CavewatchError


class _Required:
    """Marks a key that must be there."""


REQUIRED = _Required()


class Reader(Protocol):
    """Reads the value of one key, whatever it holds."""

    def read(self, value: Any, path: KeyPath, faults: Faults) -> Any:
        """What the core wants; None if the value is faulty."""


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table."""

    reader: Reader
    """How its value is read."""
    example: str
    """How it may be written."""
    default: Any = REQUIRED
    """Its value, as the core wants it, where the file says nothing."""


@dataclass(frozen=True, slots=True)
class Single:
    """A value that is no table."""

    convert: Convert

    def read(self, value: Any, path: KeyPath, faults: Faults) -> Any:
        """The converted value."""
        try:
            return self.convert(value)
        except CavewatchError as fault:
            faults.add(path, str(fault))
            return None


@dataclass(frozen=True, slots=True)
class Table:
    """A table with known keys."""

    keys: Mapping[str, Key]

    def read(self, value: Any, path: KeyPath, faults: Faults) -> dict[str, Any] | None:
        """All keys of the table, those that are not in the file with their defaults."""
        if not isinstance(value, dict):
            faults.add(path, f"{found(value)} is not a table; write its keys below [{path[-1]}]")
            return None
        return self.read_keys(value, path, faults)

    def read_keys(self, given: dict[str, Any], path: KeyPath, faults: Faults) -> dict[str, Any]:
        """The same for what is a table for sure, such as the whole file."""
        for key in given:
            if key not in self.keys:
                near = near_miss(key, self.keys) or f"; the keys here are {', '.join(self.keys)}"
                faults.add((*path, key), f"there is no such key{near}")
        return {name: self._key(name, given, path, faults) for name in self.keys}

    def _key(self, name: str, given: dict[str, Any], path: KeyPath, faults: Faults) -> Any:
        key = self.keys[name]
        if name in given:
            return key.reader.read(given[name], (*path, name), faults)
        if key.default is not REQUIRED:
            return key.default
        faults.add((*path, name), f"this key is missing; write {key.example}")
        return None

    def defaults(self) -> dict[str, Any]:
        """The keys of a table that is left out."""
        return {name: key.default for name, key in self.keys.items()}


@dataclass(frozen=True, slots=True)
class Tables:
    """An array of tables."""

    table: Table

    def read(self, value: Any, path: KeyPath, faults: Faults) -> list[dict[str, Any] | None] | None:
        """Each table as `Table` reads it."""
        if not isinstance(value, list) or not value:
            shown, name = found(value), path[-1]
            faults.add(path, f"{shown} stands here; write [[{name}]], in two brackets, above each")
            return None
        return [
            self.table.read(item, (*path, position), faults) for position, item in enumerate(value)
        ]


@dataclass(frozen=True, slots=True)
class Named:
    """A table whose keys are names of the maker's choice."""

    entry: Reader
    """Reads what a name stands for."""

    def read(self, value: Any, path: KeyPath, faults: Faults) -> dict[str, Any] | None:
        """What each name stands for."""
        if not isinstance(value, dict) or not value:
            faults.add(path, f"{found(value)} names nothing; write NAME = ... below [{path[-1]}]")
            return None
        return {name: self.entry.read(item, (*path, name), faults) for name, item in value.items()}
