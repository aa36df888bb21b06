"""A damaged store's file, read for what is left: a torn page costs only its own rows.

A range of keys that cannot be read whole is read from both ends, and what is left between
in halves, down to single keys.
"""

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

from cavewatch.store.errors import PATIENCE

EVER = (-(2**40), 2**40)
"""Whole-numbered keys lie between: numbers of entries and wheels, seconds since 1970."""
_EDGE = 2**13
"""So many keys are looked through beyond the outermost that can be read."""
_GRAIN = {"minute": 60, "hour": 3600, "day": 86400}
"""How far keys are apart, where that is more than 1."""
_BY_TIME = ["ts", "ch"]
"""The key of the tables of readings and roll-ups."""


class Table(NamedTuple):
    """A table of the file."""

    name: str
    columns: list[str]
    key: str | None
    """The column of its whole-numbered key; None if it has another one."""
    by_time: bool
    """Whether its key is time and channel."""


class Wreck:
    """A connection to the file; nothing here raises for what cannot be read."""

    def __init__(self, path: Path) -> None:
        """Open the file; raise sqlite3.Error if even that fails."""
        uri = f"{path.absolute().as_uri()}?mode=rw"
        self.connection = sqlite3.connect(uri, timeout=PATIENCE, uri=True, isolation_level=None)
        self.connection.text_factory = lambda raw: raw.decode("utf-8", errors="replace")
        self.torn = False
        """Whether something could not be read so far."""
        self._whole = True

    def tables(self) -> dict[str, Table]:
        """Those that the file still knows of, by name."""
        found = {}
        sql = "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
        for (name,) in list(self._read(sql)):
            columns = list(self._read(f"SELECT name, type, pk FROM pragma_table_info('{name}')"))
            keys = [column for column, _, pk in sorted(columns, key=lambda c: c[2]) if pk]
            whole = any(pk == 1 and kind == "INTEGER" for _, kind, pk in columns)
            found[name] = Table(
                name,
                [column for column, _, _ in columns],
                keys[0] if keys and whole else None,
                keys == _BY_TIME,
            )
        return found

    def rows(self, table: Table, since: int = EVER[0], until: int = EVER[1]) -> Iterator[Any]:
        """Rows with a key from `since` to before `until`; some may come twice.

        Where the key is no whole number, all that can be had from either end.
        """
        columns = ", ".join(f'"{column}"' for column in table.columns)
        if table.key is None:
            yield from self._read(f"SELECT {columns} FROM {table.name}")
            if self.torn:
                yield from self._read(f"SELECT {columns} FROM {table.name} ORDER BY 1 DESC")
            return
        # An index may be torn where the table is whole.
        index = "" if table.by_time else "NOT INDEXED"
        sql = (
            f"SELECT {columns} FROM {table.name} {index}"
            f" WHERE {table.key} >= ? AND {table.key} < ? ORDER BY {table.key}"
        )
        yield from self._ranges(sql, table, since, until)

    def newest(self, table: Table, before: int) -> int | None:
        """The highest key below `before`; None if there is none, `before` - 1 if it is torn."""
        torn, self.torn = self.torn, False
        sql = f"SELECT max({table.key}) FROM {table.name} WHERE {table.key} < {before}"
        found = [key for (key,) in self._read(sql)]
        failed, self.torn = self.torn, torn or self.torn
        return before - 1 if failed or not found else found[0]

    def channels(self) -> Iterator[tuple[int, str, str]]:
        """Number, place and quantity of each channel, from the index beside the table."""
        yield from self._read(
            "SELECT id, place, quantity FROM channel INDEXED BY sqlite_autoindex_channel_1"
        )

    def close(self) -> None:
        """Close the file."""
        self.connection.close()

    def _ranges(self, sql: str, table: Table, since: int, until: int) -> Iterator[Any]:
        """Read a range from both ends up to what is torn, and what is between in halves."""
        grain = _GRAIN.get(table.name, 1)
        key = table.columns.index(table.key or "")
        waiting = [(since, until)]
        while waiting:
            since, until = waiting.pop()
            low = high = None
            for row in self._run(sql, (since, until), key, 1):
                low = row[key]
                yield row
            if self._whole:
                continue
            if until - since <= grain:
                continue
            for row in self._run(f"{sql} DESC", (since, until), key, -1):
                high = row[key]
                yield row
            if (since, until, low, high) == (*EVER, None, None):
                continue  # not even the way to the rows is left
            # Rows with the very keys at which it broke off may be torn or not.
            since, until = low if low is not None else since, until if high is None else high + 1
            # Beyond the first and the last key there is nothing to look for.
            if since == EVER[0]:
                since = until - _EDGE * grain
            if until == EVER[1]:
                until = since + _EDGE * grain
            middle = (since + until) // 2
            waiting += [(middle, until), (since, middle)]

    def _run(self, sql: str, span: tuple[int, int], key: int, way: int) -> Iterator[Any]:
        """The rows of a range up to what is torn."""
        self._whole, last = True, None
        try:
            for row in self.connection.execute(sql, span):
                found = row[key]
                if not isinstance(found, int) or not span[0] <= found < span[1]:
                    raise sqlite3.DatabaseError("a key is out of its range")
                if last is not None and way * (found - last) < 0:
                    raise sqlite3.DatabaseError("keys are out of order")
                last = found
                yield row
        except (sqlite3.Error, OverflowError):
            self._whole, self.torn = False, True

    def _read(self, sql: str) -> Iterator[Any]:
        try:
            yield from self.connection.execute(sql)
        except (sqlite3.Error, OverflowError):
            self.torn = True
