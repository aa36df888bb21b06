"""What is done for a store beside the recording, in a thread with connections of its own.

First what is still to be salvaged from a damaged file; then, after an unclean stop, a look
whether this one is sound; then, hour after hour, readings that are too old go. All of
it in small pieces with rests between, so that recorder and viewers never wait long.
"""

import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from cavewatch.store import DamagedStoreError, Store, StoreError
from cavewatch.store.checking import damage
from cavewatch.store.salvage import Salvage, go_on

HOUR = 3600.0
_REST = 0.02
"""Between two pieces [s]."""
_AGAIN = 60.0
"""Before a round that the store did not let through is tried again [s]."""
_HOURS = 24
"""So many hours of readings go at most in each round, one in each transaction."""


class Upkeep:
    """The thread; whoever made it looks at `damage` and `salvaged` now and then."""

    def __init__(self, path: Path, unclean: bool, before: Callable[[], float | None]) -> None:
        """Begin.

        Args:
            path: the store, which is there and up to date.
            unclean: whether the last recorder did not end by itself.
            before: readings from before this may go now [s since 1970 UTC]; None for none.
        """
        self.damage = ""
        """What was found wrong with the store; empty as long as nothing was."""
        self.salvaged: Salvage | None = None
        """How far the salvage from a damaged file came, once it is over."""
        self._path = path
        self.unclean = unclean
        """Whether it is still to be found out if the store is sound."""
        self._before = before
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name="store upkeep", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Break off, and wait until it has."""
        self._ended.set()
        self._thread.join()

    def _run(self) -> None:
        try:
            while not self._ended.is_set():
                try:
                    self._round()
                    again = HOUR
                except DamagedStoreError:
                    raise
                except StoreError:
                    again = _AGAIN  # full or busy; whoever records tells that
                self._ended.wait(again)
        except DamagedStoreError as fault:
            self.damage = str(fault)

    def _round(self) -> None:
        self.salvaged = go_on(self._path, self._rest) or self.salvaged
        if self.unclean:
            found = damage(self._path, self._rest)
            if found:
                raise DamagedStoreError(f"{self._path}: the store is damaged ({found})")
            self.unclean &= self._ended.is_set()
        before = self._before()
        if before is not None:
            with closing(Store.as_it_is(self._path)) as store:
                for _ in range(_HOURS):
                    if not (store.thin(before) and self._rest()):
                        break

    def _rest(self) -> bool:
        return not self._ended.wait(_REST)
