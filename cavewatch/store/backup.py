"""A copy of the store made while it is in use."""

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from cavewatch.store.errors import PATIENCE, StoreError, told

PAGES = 1000
"""Copied between two words of progress."""


def back_up(path: Path, target: Path, progress: Callable[[float], None] = lambda _: None) -> None:
    """Copy a store as it is at this moment into one file, which is checked before it is named.

    Recorder and viewers go on meanwhile. The copy opens like any store.

    Args:
        path: the store.
        target: where the copy goes; there must be nothing yet.
        progress: is told the part that is copied [0 to 1].

    Raises:
        StoreError: if there is no store, or no copy can be made; nothing is then left of it.
    """
    there = StoreError(f"{target} is there already; name a file that is not")
    if target.exists():
        raise there
    if not path.exists():
        raise StoreError(f"{path}: there is no store yet; start the recorder, which makes it")
    partial = target.with_name(target.name + ".part")
    try:
        partial.unlink(missing_ok=True)
        try:
            partial.touch()
            _copy(path, partial, progress)
            _settle(partial)
            target.touch(exist_ok=False)  # so that what somebody made meanwhile stays
            partial.replace(target)
        finally:
            for ending in ("", "-journal", "-wal", "-shm"):
                partial.with_name(partial.name + ending).unlink(missing_ok=True)
    except FileExistsError:
        raise there from None
    except OSError as fault:
        raise StoreError(
            f"{target}: the copy cannot be written ({fault.strerror}); name a file in a directory "
            "that you may write to, on a disk with room"
        ) from fault


def _copy(path: Path, partial: Path, progress: Callable[[float], None]) -> None:
    def copied(_: int, left: int, pages: int) -> None:
        progress(1.0 - left / max(pages, 1))

    uri = f"{path.absolute().as_uri()}?mode=rw"
    try:
        with closing(
            sqlite3.connect(uri, timeout=PATIENCE, uri=True, isolation_level=None)
        ) as source:
            # One moment, whatever is written meanwhile; else each commit would begin it anew.
            source.execute("BEGIN")
            source.execute("SELECT count(*) FROM sqlite_schema").fetchone()
            with closing(sqlite3.connect(partial, isolation_level=None)) as copy:
                _written(partial, lambda: source.backup(copy, pages=PAGES, progress=copied))
    except sqlite3.Error as fault:
        raise told(str(path), fault) from fault


def _settle(partial: Path) -> None:
    """Let the copy be one whole file, on the disk and sound."""
    with closing(sqlite3.connect(partial, isolation_level=None)) as copy:

        def settle() -> None:
            copy.execute("PRAGMA journal_mode = DELETE").fetchall()
            [(first,), *_] = copy.execute("PRAGMA integrity_check(1)").fetchall()
            if first != "ok":
                raise StoreError(
                    f"the store is damaged ({first}), so that there can be no copy; "
                    "'cavewatch record' saves what can be read"
                )

        _written(partial, settle)
    file = os.open(partial, os.O_RDONLY)
    try:
        os.fsync(file)
    finally:
        os.close(file)


def _written(partial: Path, work: Callable[[], None]) -> None:
    try:
        work()
    except sqlite3.Error as fault:
        raise told(str(partial), fault) from fault
