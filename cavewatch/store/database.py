"""One connection to the store's file: opened with care, read whole, written briefly.

WAL lets any number of viewers read while the recorder writes; an unfinished
cursor would keep the log from being folded back, so every read fetches all.
`synchronous=FULL` puts a commit on the disk before it returns. Where a damaged file
was set aside and another one stands at its path, every connection turns to that
one: before a look for news, and within each write, so that nothing is written
into a file that nobody reads any more.
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
from cavewatch.store.errors import PATIENCE, DamagedStoreError, StoreError, UnreadableRowError, told

VERSION = 3
"""Number of migrations, kept in the file as `user_version`: a cheap 'is it current'."""
APPLICATION = 0x43415645
"""Marks the file as ours, kept in it as `application_id` ('CAVE' in ASCII)."""
PAGE = 1024
"""Of the file [bytes]. A commit writes whole pages, and most hold a few dozen bytes."""
TEXT_LIMIT = 2000
"""Longest text that the store takes or gives [characters]."""

_T = TypeVar("_T")


class Database:
    """The connection, for one thread at a time; it may be handed from thread to thread."""

    def __init__(self, connection: sqlite3.Connection, path: Path | None = None) -> None:
        """On an open connection; without a path it is in memory."""
        self._connection = connection
        self._path = path
        self._file = None if path is None else _file(path)
        self._name = "the store in memory" if path is None else str(path)
        self._lock = threading.RLock()
        self._seen: tuple[int, int] | None = None
        self._ours = False

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
                path.touch()
                share(path)
            connection = _connect(str(path.absolute()))
        except (OSError, sqlite3.Error, ValueError) as fault:
            raise StoreError(
                f"{path}: the store cannot be opened ({fault}); name a file in a directory "
                "that you may write to"
            ) from fault
        return cls._ready(connection, path)

    @classmethod
    def as_it_is(cls, path: Path) -> Self:
        """Open a store that is there and up to date, changing nothing about it.

        Raises:
            StoreError: as `open` does, and if there is none or an older version wrote it.
        """
        try:
            path.stat()
            connection = _connect(str(path.absolute()))
        except FileNotFoundError:
            raise StoreError(
                f"{path}: there is no store yet; start the recorder, which makes it"
            ) from None
        except (OSError, sqlite3.Error, ValueError) as fault:
            raise StoreError(
                f"{path}: the store cannot be opened ({fault}); give your user or group the "
                "right to read it and its directory"
            ) from fault
        database = cls(connection, path)
        try:
            if database._version() < VERSION:
                raise StoreError(
                    f"{path}: an older Cavewatch wrote this store; start the recorder, which "
                    "brings it up to date"
                )
        except BaseException:
            connection.close()
            raise
        return database

    @classmethod
    def in_memory(cls) -> Self:
        """A store that is gone when it is closed."""
        return cls._ready(_connect(":memory:"))

    @classmethod
    def _ready(cls, connection: sqlite3.Connection, path: Path | None = None) -> Self:
        database = cls(connection, path)
        try:
            database._prepare()
        except BaseException:
            connection.close()
            raise
        return database

    def _version(self) -> int:
        """Of the store's format; raise StoreError for one that is not ours, or newer."""
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
        self._ours = True
        return int(version)

    def _prepare(self) -> None:
        version = self._version()
        with self._spoken():
            # Only an empty file takes the size.
            self._connection.execute(f"PRAGMA page_size = {PAGE}")
            self._connection.execute("PRAGMA journal_mode = WAL").fetchall()
            self._connection.execute("PRAGMA synchronous = FULL")
        if version < VERSION and self._path is not None:
            from cavewatch.store.apart import update  # noqa: PLC0415 (hardly ever needed)

            update(self._path)
            version = self._version()
        if version < VERSION:
            from cavewatch.store.migrations import migrate  # noqa: PLC0415 (costs 0.2 s)

            with self._writing() as connection:
                migrate(connection)

    def changed(self) -> bool:
        """Whether anyone, this store included, has written since the last call.

        The first call says True. Call before reading, so that no news is missed.
        """
        with self._lock:
            self._follow()
            [(version,)] = self._rows("PRAGMA data_version")
            state = (version, self._connection.total_changes)
            news, self._seen = state != self._seen, state
        return news

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
            while self._moved():
                self._connection.execute("ROLLBACK")
                self._follow()
                self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield self._connection
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise

    @property
    def file(self) -> tuple[int, int] | None:
        """Of which file this is a connection (device and inode); None in memory.

        It changes when a damaged file was set aside: what was read before may be otherwise.
        """
        return self._file

    def _moved(self) -> bool:
        """Whether this connection's file is no longer the one at the path."""
        return self._path is not None and _file(self._path) != self._file

    def _follow(self) -> None:
        """Turn to the file at the path, if it is another one now."""
        if self._path is None or not self._moved():
            return
        found = _file(self._path)
        if found is None:
            raise StoreError(f"{self._name}: the store's file is gone; put it back")
        with self._spoken():
            connection = _connect(str(self._path.absolute()))
            self._connection.close()
            self._connection, self._file, self._seen = connection, found, None
            self._version()
            connection.execute("PRAGMA synchronous = FULL")

    def _parsed(self, table: str, row: int | str, text: str, parse: Callable[[Any], _T]) -> _T:
        """What the JSON text of a row stands for; raise UnreadableRowError, naming file and row."""
        try:
            return parse(cleaned(json.loads(text)))
        except (CavewatchError, ValueError, TypeError, RecursionError) as fault:
            raise UnreadableRowError(
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
            raise self._told(fault) from fault

    def _told(self, fault: Exception) -> StoreError:
        """In our words; a file whose head is torn is a damaged store if it ever was one."""
        torn = getattr(fault, "sqlite_errorcode", 0) == sqlite3.SQLITE_NOTADB
        if torn and self._path is not None and (self._ours or torn_head(self._path)):
            return DamagedStoreError(f"{self._name}: the head of the store's file is torn")
        return told(self._name, fault)


def cleaned(plain: Any) -> Any:
    """A plain value with every text in it made safe to show and of bounded length."""
    if isinstance(plain, str):
        return clean(plain, TEXT_LIMIT)
    if isinstance(plain, dict):
        return {key: cleaned(value) for key, value in plain.items()}
    if isinstance(plain, list | tuple):
        return [cleaned(value) for value in plain]
    return plain


def share(path: Path) -> None:
    """Let the group read and write a file of ours, whatever the umask.

    SQLite gives the store's mode to the files that it makes beside it.
    """
    path.chmod(path.stat().st_mode | 0o060)


def torn_head(path: Path) -> bool:
    """Whether a file that SQLite does not know was a store of ours: a spare of its head is kept
    beside it, or our mark, or nothing at all, stands where the head should be.
    """
    if path.with_name(path.name + ".head").exists():
        return True
    with path.open("rb") as file:
        head = file.read(512)
    return len(head) == 512 and (not any(head) or head[68:72] == APPLICATION.to_bytes(4, "big"))


def _file(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return found.st_dev, found.st_ino


def _connect(file: str) -> sqlite3.Connection:
    connection = sqlite3.connect(
        file, timeout=PATIENCE, isolation_level=None, check_same_thread=False
    )
    connection.text_factory = lambda raw: raw.decode("utf-8", errors="replace")
    return connection
