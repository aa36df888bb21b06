"""On which line of a TOML text each key stands; the standard parser does not tell.

The scanner follows keys, brackets and strings only, and leaves judging the
text to the parser. Where it cannot follow it stops, and what it found until
then still holds.
"""

import contextlib
import re
import tomllib
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field

KeyPath = tuple[str | int, ...]
"""Way to a value: keys, and positions in arrays counted from 0."""

_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_LINE_STRING = re.compile(r'"(?:[^"\\\n]|\\[^\n])*"|\'[^\'\n]*\'')
_BLOCK_STRING = re.compile(r'"""(?:[^\\]|\\.)*?"{3,5}|\'\'\'.*?\'{3,5}', re.DOTALL)
_PLAIN_VALUE = re.compile(r"[^\[\]{},#\"'\n]+")


@dataclass(frozen=True, slots=True)
class Lines:
    """Where keys stand."""

    of: dict[KeyPath, int]
    """Line of every table, key and array element, counted from 1."""
    doubled: tuple[KeyPath, int, int] | None
    """The first key or table given twice, with both lines."""

    def near(self, path: KeyPath) -> int | None:
        """The line of a key, or of the nearest table around it; None if neither stands there."""
        while path and path not in self.of:
            path = path[:-1]
        return self.of.get(path)


def find(text: str) -> Lines:
    """The line of every key in the text, as far as it can be followed."""
    scanner = _Scanner(text.replace("\r\n", "\n"))
    with contextlib.suppress(_Lost, RecursionError):
        scanner.scan()
    return Lines(scanner.of, scanner.doubled)


class _Lost(Exception):  # noqa: N818 - never leaves this module
    """The text cannot be followed any further."""


@dataclass(slots=True)
class _Scanner:
    text: str
    at: int = 0
    of: dict[KeyPath, int] = field(default_factory=dict)
    doubled: tuple[KeyPath, int, int] | None = None
    _given: set[KeyPath] = field(default_factory=set)
    _lengths: dict[KeyPath, int] = field(default_factory=dict)
    """Number of tables so far in each array of tables."""
    _ends: list[int] = field(init=False)
    """Where each line ends."""

    def __post_init__(self) -> None:
        self._ends = [match.end() for match in re.finditer("\n", self.text)]

    def scan(self) -> None:
        table: KeyPath = ()
        while self._beyond(_BLANK) < len(self.text):
            start = self.at
            if self._take("[["):
                *parents, last = self._keys("]]")
                array = (*self._resolved(parents), last)
                table = (*array, self._lengths.get(array, 0))
                self._lengths[array] = self._lengths.get(array, 0) + 1
                self._note(table, start)
            elif self._take("["):
                table = self._resolved(self._keys("]"))
                self._give(table, start)
            else:
                self._pair(table)

    def _pair(self, table: KeyPath) -> None:
        start = self.at
        path = (*table, *self._keys("="))
        self._give(path, start)
        self._value(path)

    def _value(self, path: KeyPath) -> None:
        self._beyond(_SPACE)
        if self._take("["):
            for position in self._items("]"):
                self._note((*path, position), self.at)
                self._value((*path, position))
        elif self._take("{"):
            for _ in self._items("}"):
                self._pair(path)
        elif not any(map(self._match, (_BLOCK_STRING, _LINE_STRING, _PLAIN_VALUE))):
            raise _Lost

    def _items(self, end: str) -> Iterator[int]:
        """Stand at each item of an array or inline table in turn; pass the end."""
        position = 0
        while self._beyond(_BLANK) < len(self.text) and not self._take(end):
            yield position
            position += 1
            self._beyond(_BLANK)
            if not self._take(","):
                self._need(end)
                return

    def _keys(self, end: str) -> list[str]:
        """Read a key with its dots, and the sign that ends it."""
        keys = []
        while True:
            self._beyond(_SPACE)
            if word := self._match(_LINE_STRING):
                try:
                    keys.append(tomllib.loads(f"key = {word}")["key"])
                except tomllib.TOMLDecodeError as fault:
                    raise _Lost from fault
            elif word := self._match(_BARE_KEY):
                keys.append(word)
            else:
                raise _Lost
            self._beyond(_SPACE)
            if not self._take("."):
                self._need(end)
                return keys

    def _resolved(self, keys: list[str]) -> KeyPath:
        """The path of a header: in an array of tables the newest one is meant."""
        path: KeyPath = ()
        for key in keys:
            path = (*path, key)
            if path in self._lengths:
                path = (*path, self._lengths[path] - 1)
        return path

    def _give(self, path: KeyPath, start: int) -> None:
        """Note a key or table that may stand only once."""
        if path in self._given and self.doubled is None:
            self.doubled = (path, self.of[path], self._line(start))
        self._given.add(path)
        self._note(path, start)

    def _note(self, path: KeyPath, start: int) -> None:
        """Note the line of a path, and of the tables around it that have none so far."""
        self.of[path] = self._line(start)
        while (path := path[:-1]) and path not in self.of:
            self.of[path] = self._line(start)

    def _line(self, start: int) -> int:
        return bisect_right(self._ends, start) + 1

    def _match(self, pattern: re.Pattern[str]) -> str | None:
        if found := pattern.match(self.text, self.at):
            self.at = found.end()
            return found[0]
        return None

    def _beyond(self, blank: re.Pattern[str]) -> int:
        """Go past what says nothing, and tell where that is."""
        self._match(blank)
        return self.at

    def _take(self, sign: str) -> bool:
        if taken := self.text.startswith(sign, self.at):
            self.at += len(sign)
        return taken

    def _need(self, sign: str) -> None:
        if not self._take(sign):
            raise _Lost
