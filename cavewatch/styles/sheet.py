"""Reading a table key by key, so that everything wrong with it is reported together."""

import math
from collections.abc import Iterable, Iterator, Mapping
from difflib import get_close_matches
from enum import StrEnum
from itertools import pairwise
from typing import Any, TypeVar

from cavewatch.core.errors import CavewatchError

Kind = TypeVar("Kind", bound=StrEnum)

Fault = tuple[tuple[str, ...], str]
"""Where it is (the style's id, then keys), and one sentence on what is wrong there."""


class StyleError(CavewatchError):
    """Styles that cannot be read; the text has one line for each fault."""

    def __init__(self, origin: str, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(f"{origin}: {sentence}" for _, sentence in self.faults))


def meant(word: str, known: Iterable[str]) -> str:
    """The words that offer the nearest known one, such as "; did you mean 'gouda'?"."""
    near = get_close_matches(word, sorted(known), 1)
    return f"; did you mean '{near[0]}'?" if near else ""


def is_number(value: object) -> bool:
    """Whether it is a finite number; true and false are not numbers."""
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def shown(value: object) -> str:
    """A value as a person may see it: short, and with no control characters in it."""
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list | tuple):
        return f"[{', '.join(shown(item) for item in value)}]"
    if isinstance(value, bool):
        return "true" if value else "false"
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


class Sheet:
    """One table of a style.

    What is wrong is noted in `faults`, not raised; a stand-in then takes the
    value's place, so whoever reads must look at `faults` before using the result.
    """

    def __init__(
        self, table: object, path: tuple[str, ...], faults: list[Fault], said: str | None
    ) -> None:
        """Read `table`, found at `path`; `said` is the source of a figure that carries none."""
        self.path, self.faults, self.said = path, faults, said
        self._read: set[str] = set()
        self._table: Mapping[str, Any] = {}
        if isinstance(table, Mapping):
            self._table = table
        else:
            self.note(f"is {shown(table)}; write a table of keys")
            self.faults = []  # what would be in it is not to be missed as well

    def note(self, sentence: str, *keys: str) -> None:
        """Note a fault at a key of this table; the sentence goes on after the key's name."""
        where = (*self.path, *keys)
        inner = ".".join(key if key.isprintable() else shown(key) for key in where[1:])
        subject = f"{inner} of style" if inner else "style"
        self.faults.append((where, f"{subject} {shown(where[0])} {sentence}"))

    def __iter__(self) -> Iterator[str]:
        """The keys that the table holds, in its order."""
        return iter(self._table)

    def get(self, key: str) -> Any:
        """The raw value; None if it is not there."""
        self._read.add(key)
        return self._table.get(key)

    def close(self) -> None:
        """Note every key that nobody asked for."""
        for key in self._table:
            if key not in self._read:
                self.note(f"is not a key that is known here{meant(key, self._read)}", key)

    def child(self, key: str, table: object = None) -> "Sheet":
        """The table under a key, or the one that stands for it; empty if there is none."""
        found = self.get(key) if table is None else table
        return Sheet({} if found is None else found, (*self.path, key), self.faults, self.said)

    def text(self, key: str, default: str | None = None) -> str:
        """A text of printable characters."""
        value = self.get(key)
        if value is None and default is not None:
            return default
        if isinstance(value, str) and value.strip() and value.isprintable():
            return value
        self.wrong(key, value, "a text in quotes, on one line")
        return ""

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts; empty if it is not there."""
        value = self.get(key)
        if value is None:
            return ()
        if isinstance(value, list | tuple) and all(
            isinstance(item, str) and item.strip() and item.isprintable() for item in value
        ):
            return tuple(value)
        self.wrong(key, value, "a list of texts, each on one line")
        return ()

    def choice(self, key: str, kinds: type[Kind]) -> Kind:
        """One of the kinds."""
        return self._choices(key, [self.get(key)], kinds)[0]

    def choices(self, key: str, kinds: type[Kind]) -> tuple[Kind, ...]:
        """A list of one or more of the kinds."""
        value = self.get(key)
        if isinstance(value, list | tuple) and value:
            return tuple(dict.fromkeys(self._choices(key, value, kinds)))
        self.wrong(key, value, f"a list of {_either(kinds)}")
        return tuple(kinds)

    def _choices(self, key: str, values: Iterable[Any], kinds: type[Kind]) -> list[Kind]:
        found = []
        for value in values:
            if value in tuple(kinds):
                found.append(kinds(value))
            else:
                near = meant(value, kinds) if isinstance(value, str) else ""
                self.wrong(key, value, f"{_either(kinds)}{near}")
                found.append(next(iter(kinds)))
        return found

    def number(
        self, key: str, unit: str, least: float, most: float, default: float | None = None
    ) -> float:
        """A number in the unit, from least to most."""
        value = self.get(key)
        if value is None and default is not None:
            return default
        if is_number(value) and least <= value <= most:
            return float(value)
        self.wrong(key, value, f"a number from {least:g} to {most:g} [{unit}]")
        return least

    def rising(self, key: str, unit: str, most: float) -> tuple[float, ...]:
        """A list of rising numbers of which the first is 0."""
        value = self.get(key)
        if (
            isinstance(value, list | tuple)
            and value
            and all(is_number(item) for item in value)
            and value[0] == 0
            and value[-1] <= most
            and all(one < other for one, other in pairwise(value))
        ):
            return tuple(float(item) for item in value)
        self.wrong(key, value, f"rising numbers from 0 to {most:g}, such as [0, 12, 24] [{unit}]")
        return (0.0,)

    def wrong(self, key: str, value: object, wanted: str) -> None:
        """Note that a value is missing or not what is wanted."""
        found = "is missing" if value is None else f"is {shown(value)}"
        self.note(f"{found}; write {wanted}", key)


def _either(kinds: type[StrEnum]) -> str:
    return " or ".join(f"'{kind}'" for kind in kinds)
