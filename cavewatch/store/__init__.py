"""What is kept: readings, journal, alarm transitions and countdowns, in one SQLite file."""

from cavewatch.core.series import Bin
from cavewatch.store.errors import (
    DamagedStoreError,
    StoreError,
    StoreFullError,
    UnwritableStoreError,
)
from cavewatch.store.lock import RecorderLock
from cavewatch.store.store import Store

__all__ = [
    "Bin",
    "DamagedStoreError",
    "RecorderLock",
    "Store",
    "StoreError",
    "StoreFullError",
    "UnwritableStoreError",
]
