"""One connection to the store's file: opened with care, read whole, written briefly.

WAL lets any number of viewers read while the recorder writes; an unfinished
cursor would keep the log from being folded back, so every read fetches all.
`synchronous=FULL` puts a commit on the disk before it returns.
"""

import contextlib
import json
import sqlite3
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Self, TypeVar

from cavewatch.core.errors import CavewatchError
from cavewatch.core.text import clean
from cavewatch.store.errors import DamagedStoreError, StoreError

VERSION = 1
"""Number of migrations, kept in the file as `user_version`: a cheap 'is it current'."""
APPLICATION = 0x43415645
"""Marks the file as ours, kept in it as `application_id` ('CAVE' in ASCII)."""
TEXT_LIMIT = 2000
"""Longest text that the store takes or gives [characters]."""
_PATIENCE = 10.0
"""How long to wait while another process writes [s]; its transactions last milliseconds."""

_T = TypeVar("_T")


class Database:
    """The connection, for one thread at a time; it may be handed from thread to thread."""

    def __init__(self, connection: sqlite3.Connection, name: str) -> None:
        self._connection = connection
        self._name = name
        self._lock = threading.RLock()
        self._seen: tuple[int, int] | None = None
        connection.text_factory = lambda raw: raw.decode("utf-8", errors="replace")

    @classmethod
    def open(cls, path: Path) -> Self:
        """Open the store, making the file and its directory if need be, and bring it up to date.

        Raises:
            StoreError: naming the file, if it cannot be opened, is not a store
                or was written by a newer version.
        """
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            if not path.exists():
                # SQLite itself would never let the group write, whatever the umask.
                path.touch(mode=0o664)
            connection = _connect(str(path.absolute()))
        except (OSError, sqlite3.Error, ValueError) as fault:
            raise StoreError(
                f"{path}: the store cannot be opened ({fault}); name a file in a directory "
                "that you may write to"
            ) from fault
        return cls._ready(connection, str(path))

    @classmethod
    def in_memory(cls) -> Self:
        """A store that is gone when it is closed."""
        return cls._ready(_connect(":memory:"), "the store in memory")

    @classmethod
    def _ready(cls, connection: sqlite3.Connection, name: str) -> Self:
        database = cls(connection, name)
        try:
            database._prepare()
        except BaseException:
            connection.close()
            raise
        return database

    def _prepare(self) -> None:
        [(version, application, tables)] = self._rows(
            "SELECT user_version, application_id, (SELECT count(*) FROM sqlite_schema)"
            " FROM pragma_user_version, pragma_application_id"
        )
        if application != APPLICATION and (version or tables):
            raise StoreError(
                f"{self._name}: this is a database of another program; name another file"
            )
        if version > VERSION:
            raise StoreError(
                f"{self._name}: a newer Cavewatch wrote this store (format {version}, this one "
                f"knows up to {VERSION}); install that newer one or name another file"
            )
        with self._spoken():
            # A commit writes whole pages, and most commits hold a few dozen bytes.
            # Only an empty file takes the size.
            self._connection.execute("PRAGMA page_size = 1024")
            self._connection.execute("PRAGMA journal_mode = WAL").fetchall()
            self._connection.execute("PRAGMA synchronous = FULL")
        if version < VERSION:
            from cavewatch.store.migrations import migrate  # noqa: PLC0415 (costs 0.2 s)

            with self._writing() as connection:
                migrate(connection)

    def changed(self) -> bool:
        """Whether anyone, this store included, has written since the last call.

        The first call says True. Call before reading, so that no news is missed.
        """
        with self._lock:
            [(version,)] = self._rows("PRAGMA data_version")
            state = (version, self._connection.total_changes)
            news, self._seen = state != self._seen, state
        return news

    def damage(self) -> str:
        """What SQLite's quick check finds wrong, in its words; empty for a sound file.

        Reads the whole file: for use after an unclean stop.
        """
        try:
            [(first,), *_] = self._rows("PRAGMA quick_check(1)")
        except DamagedStoreError as fault:
            return str(fault)
        return "" if first == "ok" else clean(first, TEXT_LIMIT)

    def close(self) -> None:
        """Close the file; the store is of no use afterwards."""
        with self._lock, self._spoken():
            self._connection.close()

    def _rows(self, sql: str, values: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
        """All rows of a query."""
        with self._lock, self._spoken():
            return self._connection.execute(sql, values).fetchall()

    @contextlib.contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: on the disk when the block is left, undone if it raises."""
        with self._lock, self._spoken():
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield self._connection
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise

    def _parsed(self, table: str, row: int | str, text: str, parse: Callable[[Any], _T]) -> _T:
        """What the JSON text of a row stands for; raise StoreError naming file and row."""
        try:
            return parse(cleaned(json.loads(text)))
        except (CavewatchError, ValueError, TypeError, RecursionError) as fault:
            raise StoreError(
                f"{self._name}: row {row} of '{table}' cannot be read: {fault}"
            ) from fault

    def _text(self, plain: Any) -> str:
        """The JSON text to store for a plain value."""
        try:
            return json.dumps(
                cleaned(plain), ensure_ascii=False, allow_nan=False, separators=(",", ":")
            )
        except ValueError as fault:
            raise StoreError(
                f"{self._name}: a value that is not a finite number cannot be stored: {plain}"
            ) from fault

    @contextlib.contextmanager
    def _spoken(self) -> Iterator[None]:
        """Turn SQLite's complaints into sentences."""
        try:
            yield
        except (sqlite3.Error, OverflowError) as fault:
            raise _error(self._name, fault) from fault


def cleaned(plain: Any) -> Any:
    """A plain value with every text in it made safe to show and of bounded length."""
    if isinstance(plain, str):
        return clean(plain, TEXT_LIMIT)
    if isinstance(plain, dict):
        return {key: cleaned(value) for key, value in plain.items()}
    if isinstance(plain, list | tuple):
        return [cleaned(value) for value in plain]
    return plain


def _connect(file: str) -> sqlite3.Connection:
    return sqlite3.connect(file, timeout=_PATIENCE, isolation_level=None, check_same_thread=False)


def _error(name: str, fault: Exception) -> StoreError:
    code = getattr(fault, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_CORRUPT:
        return DamagedStoreError(f"{name}: the store is damaged ({fault})")
    told = {
        sqlite3.SQLITE_NOTADB: "this is no store of Cavewatch; name another file",
        sqlite3.SQLITE_BUSY: f"another process kept the store busy for {_PATIENCE:g} s; try again",
        sqlite3.SQLITE_FULL: "the disk is full; make room and try again",
        sqlite3.SQLITE_READONLY: "the store cannot be written to; give your user or group the right"
        " to write to the file and its directory",
        sqlite3.SQLITE_CANTOPEN: "the store cannot be opened; give your user or group the right to"
        " write to the file and its directory",
    }
    return StoreError(f"{name}: {told.get(code, str(fault))}")
