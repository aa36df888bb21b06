"""What can be wrong with a store."""

import sqlite3

from cavewatch.core.errors import CavewatchError
from cavewatch.core.text import clean

PATIENCE = 10.0
"""How long to wait while another process writes [s]; its transactions last milliseconds."""


class StoreError(CavewatchError):
    """The store's file cannot be opened, read or written as asked."""

    def __init__(self, text: str) -> None:
        super().__init__(clean(text, 1000))


class UnwritableStoreError(StoreError):
    """Nothing can be written now, and nothing was; it may go later, by itself or with help."""


class StoreFullError(UnwritableStoreError):
    """There is no room for what was to be written."""


class UnreadableRowError(StoreError):
    """A row's text makes no sense, though SQLite knows of no damage: a bit of it was lost."""


class DamagedStoreError(StoreError):
    """The file is a store, but what is in it is torn; a recorder sets it aside."""


_UNREADABLE = (sqlite3.SQLITE_IOERR_READ, sqlite3.SQLITE_IOERR_SHORT_READ)
_TOLD: dict[int, tuple[type[StoreError], str]] = {
    sqlite3.SQLITE_NOTADB: (StoreError, "this is no store of Cavewatch; name another file"),
    sqlite3.SQLITE_FULL: (StoreFullError, "the disk is full; make room and try again"),
    sqlite3.SQLITE_IOERR: (
        StoreFullError,
        "the disk does not take what is written; make room, look after the disk and try again",
    ),
    sqlite3.SQLITE_BUSY: (
        UnwritableStoreError,
        f"another process kept the store busy for {PATIENCE:g} s; try again",
    ),
    sqlite3.SQLITE_READONLY: (
        UnwritableStoreError,
        "the store cannot be written to; give your user or group the right to write to the file "
        "and its directory",
    ),
    sqlite3.SQLITE_CANTOPEN: (
        UnwritableStoreError,
        "the store cannot be opened; give your user or group the right to write to the file and "
        "its directory, and see that the disk is not full",
    ),
}
"""By SQLite's primary result code."""


def told(name: str, fault: Exception) -> StoreError:
    """SQLite's complaint about a store as a sentence of ours.

    Args:
        name: of the store's file.
        fault: as sqlite3 raised it.
    """
    code = getattr(fault, "sqlite_errorcode", 0)
    if code & 0xFF == sqlite3.SQLITE_CORRUPT or code in _UNREADABLE:
        return DamagedStoreError(
            f"{name}: the store is damaged ({fault}); 'cavewatch record' saves what can be read"
        )
    kind, text = _TOLD.get(code & 0xFF, (StoreError, str(fault)))
    return kind(f"{name}: {text}")
