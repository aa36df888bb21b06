"""A spare of the store's first page, without which nothing in the file can be found.

The page is written over and over, so that it is the likeliest to be torn. What matters on it,
the way to the tables, changes only with a migration.
"""

import contextlib
import os
from pathlib import Path

from cavewatch.store.database import APPLICATION, PAGE, VERSION

_MAGIC = b"SQLite format 3\0"
_VARIES = (slice(24, 40), slice(92, 96))
"""What of the page other commits change: counters, size and free pages."""


def spare(path: Path) -> Path:
    """Where the spare of a store is."""
    return path.with_name(path.name + ".head")


def keep(path: Path) -> None:
    """Keep a spare of the first page, if it is whole and up to date and none is there like it.

    To be called while this process has no connection to the store: closing the file
    would end the locks of all of them. A disk that takes no spare takes none.
    """
    with contextlib.suppress(OSError):
        page = _first(path)
        whole = page.startswith(_MAGIC) and len(page) == PAGE
        ours = page[68:72] == APPLICATION.to_bytes(4, "big")
        if not (whole and ours and page[60:64] == VERSION.to_bytes(4, "big")):
            return
        kept = spare(path)
        if kept.exists() and _lasting(kept.read_bytes()) == _lasting(page):
            return
        fresh = kept.with_name(kept.name + ".new")
        with fresh.open("wb") as file:
            file.write(page)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(kept)


def put_back(path: Path) -> bool:
    """Put the spare in the place of a torn first page, for reading; False if there is none.

    Raises:
        OSError: if the file cannot be written.
    """
    kept = spare(path)
    if not kept.exists():
        return False
    page = bytearray(kept.read_bytes())
    page[28:32] = (path.stat().st_size // PAGE).to_bytes(4, "big")
    page[32:40] = bytes(8)  # which pages are free is not known any more
    page[92:96] = page[24:28]  # else the size would not count
    with path.open("r+b") as file:
        file.write(page)
        file.flush()
        os.fsync(file.fileno())
    return True


def _first(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(PAGE)


def _lasting(page: bytes) -> bytes:
    lasting = bytearray(page)
    for part in _VARIES:
        lasting[part] = bytes(part.stop - part.start)
    return bytes(lasting)
