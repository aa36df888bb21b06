"""Whether a store's file is sound, found out beside its use: table by table, piece by piece.

SQLite's own check of the whole file is one read transaction of minutes, for
which the log could not be folded back. Small tables are checked by it one at a time; those
that grow without end are read through by their keys, each piece a transaction.
"""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from cavewatch.core.text import clean
from cavewatch.store.errors import UnwritableStoreError, told

PIECE = 5000
"""Rows read in one transaction."""
LARGE = ("reading", "minute", "hour", "day")
"""Tables by time and channel that grow without end."""


def damage(path: Path, rest: Callable[[], bool] = lambda: True) -> str:
    """What is wrong with a store's file, in SQLite's words; empty for a sound one.

    Reads the whole file through a connection of its own, for use after an unclean stop.

    Args:
        path: the file.
        rest: called between two pieces; it may wait, and gives False to break off.

    Raises:
        UnwritableStoreError: if it cannot be told, because the file cannot be opened.
    """
    uri = f"{path.absolute().as_uri()}?mode=rw"
    try:
        with closing(sqlite3.connect(uri, uri=True, isolation_level=None)) as connection:
            connection.text_factory = lambda raw: raw.decode("utf-8", errors="replace")
            rows = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")
            for (name,) in rows.fetchall():
                found = (_read if name in LARGE else _checked)(connection, name, rest)
                if found:
                    return clean(found, 200)
                if not rest():
                    break
    except sqlite3.Error as fault:
        error = told(str(path), fault)
        if isinstance(error, UnwritableStoreError):
            raise error from fault
        return clean(str(fault), 200)
    return ""


def _checked(connection: sqlite3.Connection, table: str, _: Callable[[], bool]) -> str:
    (first,), *_rest = connection.execute(f"PRAGMA quick_check('{table}')").fetchall()
    return "" if first == "ok" else str(first)


def _read(connection: sqlite3.Connection, table: str, rest: Callable[[], bool]) -> str:
    last = (-(2**62), 0)
    while True:
        rows = connection.execute(
            f"SELECT * FROM {table} WHERE (ts, ch) > (?, ?) ORDER BY ts, ch LIMIT {PIECE}", last
        ).fetchall()
        if not rows:
            return ""
        for ts, ch, *values in rows:
            if (ts, ch) <= last:
                return f"rows of '{table}' are out of order at {ts}"
            if any(isinstance(value, float | bytes) for value in values):
                return f"a value of '{table}' at {ts} is of no known kind"
            last = ts, ch
        if not rest():
            return ""
