"""The store: everything that is kept, in one SQLite file."""

from pathlib import Path

from cavewatch.store.alarms import Alarms
from cavewatch.store.countdowns import Countdowns
from cavewatch.store.errors import StoreError
from cavewatch.store.journal import Journal
from cavewatch.store.readings import Readings


class Store(Readings, Journal, Alarms, Countdowns):
    """One connection to the file with all its tables; each method is one short transaction.

    For one thread at a time; it may be handed from thread to thread. Every
    method raises StoreError, naming the file, where the file fails it.
    """

    def meta(self, key: str) -> str | None:
        """What was last put under this key, such as how the recorder stopped."""
        rows = self._rows("SELECT value FROM meta WHERE key = ?", (key,))
        return rows[0][0] if rows else None

    def put_meta(self, key: str, value: str) -> None:
        """Keep a text under a key, in place of what was there."""
        with self._writing() as connection:
            connection.execute(
                "INSERT OR REPLACE INTO meta (key, value) VALUES (?, ?)", (key, value)
            )


def set_aside(path: Path) -> Path:
    """Rename a damaged store, so that a new one can be begun; return its new name.

    Nothing is overwritten. Every process must have closed the store before.

    Raises:
        StoreError: if it cannot be renamed.
    """
    number = 1
    while (aside := path.with_name(f"{path.name}.damaged-{number}")).exists():
        number += 1
    try:
        # The log goes first: left alone, it would be read into the new store.
        for ending in ("-wal", "-shm", ""):
            part = path.with_name(path.name + ending)
            if part.exists():
                part.rename(aside.with_name(aside.name + ending))
    except OSError as fault:
        raise StoreError(
            f"{path}: the damaged store cannot be set aside ({fault.strerror}); rename it by hand"
        ) from fault
    return aside
