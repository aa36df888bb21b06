"""A new store in place of a damaged one, with all of it that can be read.

What is small, and what judging goes by, is there from the first moment: journal,
alarms, whatever else is no reading, the hours, and the minutes and readings of
late. The rest follows beside the recording, latest first, and goes on where it was
if that is interrupted.
"""

import contextlib
import json
import os
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from cavewatch.store.database import share
from cavewatch.store.errors import StoreError, told
from cavewatch.store.head import put_back
from cavewatch.store.store import Store
from cavewatch.store.wreck import Table, Wreck

LATELY = 3 * 86400
"""Readings and minutes of so long are brought over at once [s]."""
WINDOW = 6 * 3600
"""So much of the rest is brought over in one transaction [s]."""
PROGRESS = "salvage"
"""Key of the table `meta` for how far it has come."""
_FIRST = ("journal", "alarm")
_FOLLOW = ("reading", "minute")


@dataclass(frozen=True, slots=True)
class Salvage:
    """What was brought over from a damaged file so far."""

    aside: str
    """Name of the damaged file, beside the store."""
    entries: int = 0
    """Of the journal."""
    transitions: int = 0
    """Of alarms."""
    readings: int = 0
    torn: bool = False
    """Whether something could not be read."""
    channels: tuple[int, ...] = ()
    """Numbers of the channels that the file knew; readings of others have lost their name."""
    until: int | None = None
    """Readings and minutes before this are still to come [s since 1970 UTC]; None if no more."""


def renew(path: Path, when: str) -> Salvage:
    """Set a damaged store aside and put a new one in its place.

    Nobody writes to the damaged one meanwhile, if its locks still work, and who has it
    open turns to the new one.

    Args:
        path: the store; no connection of the caller's may be in a transaction.
        when: now, as the name of the file that is set aside tells it.

    Raises:
        StoreError: if there cannot be a new one; the old one then is where it was.
    """
    aside, number = path.with_name(f"{path.name}.damaged-{when}"), 1
    while aside.exists():
        number += 1
        aside = path.with_name(f"{path.name}.damaged-{when}-{number}")
    fresh = path.with_name(path.name + ".new")
    _remove(fresh)
    try:
        with closing(Wreck(path)) as wreck:
            headless = "journal" not in wreck.tables()
        if headless:
            put_back(path)
        with closing(Wreck(path)) as wreck:
            wreck.torn = headless
            # Where the file's head is torn there is no locking it, and nobody can write to it.
            with contextlib.suppress(sqlite3.DatabaseError):
                wreck.connection.execute("BEGIN IMMEDIATE")
            with closing(Store.open(fresh)) as store:
                salvage = _at_once(wreck, store, aside.name)
            share(fresh)
            _swap(path, fresh, aside)
    except OSError as fault:
        raise StoreError(
            f"{path}: the damaged store cannot be set aside ({fault.strerror}); rename it by hand"
        ) from fault
    except sqlite3.Error as fault:
        raise told(str(path), fault) from fault
    finally:
        _remove(fresh)
    return salvage


def progress(store: Store) -> Salvage | None:
    """How far the salvage from a file that was set aside has come; None if none can be told."""
    try:
        plain = json.loads(store.meta(PROGRESS) or "null")
        return plain and Salvage(**plain | {"channels": tuple(plain["channels"])})
    except (ValueError, TypeError, KeyError):
        return None


def go_on(path: Path, rest: Callable[[], bool]) -> Salvage | None:
    """Bring over what is still to come, window by window; all is over if somebody took the file.

    Args:
        path: the new store.
        rest: called between two windows; it may wait, and gives False to break off.

    Returns:
        How far it has come; None where nothing was set aside.
    """
    with closing(Store.open(path)) as store:
        salvage = progress(store)
        if salvage is None or salvage.until is None:
            return salvage
        aside = path.with_name(salvage.aside)
        if not aside.exists():
            return _over(store, replace(salvage, torn=True))
        try:
            opened = Wreck(aside)
        except sqlite3.Error as fault:
            raise told(str(aside), fault) from fault
        with closing(opened) as wreck:
            tables = wreck.tables()
            follow = [tables[name] for name in _FOLLOW if name in tables]
            while salvage.until is not None and rest():
                newest = [wreck.newest(table, salvage.until) for table in follow]
                end = max((ts for ts in newest if ts is not None), default=None)
                if end is None or end < 0:
                    salvage = _over(store, salvage)
                else:
                    begin = end // WINDOW * WINDOW
                    salvage = _window(wreck, store, salvage, follow, begin, begin + WINDOW)
    return salvage


def _over(store: Store, salvage: Salvage) -> Salvage:
    """Nothing more is to come."""
    salvage = replace(salvage, until=None)
    with store._writing() as connection:
        _note(connection, salvage)
    return salvage


def _at_once(wreck: Wreck, store: Store, aside: str) -> Salvage:
    tables = wreck.tables()
    first = [*_FIRST, *(name for name in tables if name not in (*_FIRST, *_FOLLOW))]
    brought: Counter[str] = Counter()
    with store._writing() as connection:
        connection.execute("DELETE FROM meta")
        for name in first:
            if name in tables:
                brought[name] = _insert(connection, tables[name], wreck.rows(tables[name]), wreck)
        _name_channels(connection, wreck)
        known = [number for (number,) in connection.execute("SELECT id FROM channel")]
        [(newest,)] = connection.execute("SELECT coalesce(max(ts), 0) FROM hour").fetchall()
        salvage = Salvage(
            aside, brought["journal"], brought["alarm"], channels=tuple(known), torn=not tables
        )
    since = (newest - LATELY) // WINDOW * WINDOW
    follow = [tables[name] for name in _FOLLOW if name in tables]
    salvage = _window(wreck, store, salvage, follow, since, 2**40)
    with store._writing() as connection:
        connection.execute(
            "UPDATE channel SET newest ="
            " coalesce((SELECT max(ts) FROM reading WHERE ch = channel.id), newest)"
        )
    return salvage


def _name_channels(connection: sqlite3.Connection, wreck: Wreck) -> None:
    """Channels whose own rows are torn are named in the index beside them."""
    if wreck.torn:
        connection.executemany(
            "INSERT OR IGNORE INTO channel (id, place, quantity, newest) VALUES (?, ?, ?, 0)",
            list(wreck.channels()),
        )


def _window(
    wreck: Wreck, store: Store, salvage: Salvage, tables: Iterable[Table], since: int, until: int
) -> Salvage:
    """Bring over readings and minutes from `since` to before `until`, and note that."""
    rows = {
        table.name: [
            row
            for row in wreck.rows(table, since, until)
            if row[table.columns.index("ch")] in salvage.channels
        ]
        for table in tables
    }
    with store._writing() as connection:
        here = (since, until)
        sql = "SELECT DISTINCT ts FROM minute WHERE ts >= ? AND ts < ?"
        late = {ts for (ts,) in connection.execute(sql, here)}
        came = {table.name: _insert(connection, table, rows[table.name], wreck) for table in tables}
        # What came late while its window was not there yet was rolled up without the rest.
        store.roll_up(late)
        store.mend(since, until)
        salvage = replace(
            salvage,
            readings=salvage.readings + came.get("reading", 0),
            torn=salvage.torn or wreck.torn,
            until=since,
        )
        _note(connection, salvage)
    return salvage


def _insert(connection: sqlite3.Connection, table: Table, rows: Iterable[Any], wreck: Wreck) -> int:
    """Insert rows that are not there yet, and give their number; what cannot be is torn."""
    known = {name for _, name, *_ in connection.execute(f"PRAGMA table_info({table.name})")}
    kept = [n for n, column in enumerate(table.columns) if column in known]
    if not kept:
        return 0
    names = ", ".join(f'"{table.columns[n]}"' for n in kept)
    sql = f"INSERT OR IGNORE INTO {table.name} ({names}) VALUES ({', '.join('?' for _ in kept)})"
    # A table that is only appended to refuses a row that comes again.
    seen: set[Any] = set()
    count = 0
    for row in rows:
        if table.by_time or row not in seen:
            if not table.by_time:
                seen.add(row)
            try:
                count += connection.execute(sql, [row[n] for n in kept]).rowcount
            except sqlite3.IntegrityError:
                wreck.torn = True
    return count


def _note(connection: sqlite3.Connection, salvage: Salvage) -> None:
    connection.execute(
        "INSERT OR REPLACE INTO meta (key, value) VALUES (?, ?)",
        (PROGRESS, json.dumps(asdict(salvage))),
    )


def _swap(path: Path, fresh: Path, aside: Path) -> None:
    """Put the fresh file where the damaged one was, which gets its new name, with its log.

    The path is never without a file, so that nobody makes an empty one there. The log goes
    before: left alone, it would be read into the new store.
    """
    os.link(path, aside)
    for ending in ("-wal", "-shm"):
        part = path.with_name(path.name + ending)
        if part.exists():
            part.rename(aside.with_name(aside.name + ending))
    fresh.replace(path)


def _remove(fresh: Path) -> None:
    for ending in ("", "-wal", "-shm"):
        fresh.with_name(fresh.name + ending).unlink(missing_ok=True)
