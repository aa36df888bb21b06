"""That what is recorded is kept: room on the disk, a store that is sound, and word if not."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

from cavewatch.clock import Clock
from cavewatch.core.alarms.conditions import own
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.texts import Words
from cavewatch.recorder.holding import MOST, Holding
from cavewatch.recorder.upkeep import Upkeep
from cavewatch.store import DamagedStoreError, Store, StoreFullError, UnwritableStoreError
from cavewatch.store.head import keep as keep_head
from cavewatch.store.salvage import PROGRESS, Salvage, progress, renew

FREE, PART = 100e6, 0.01
"""Less room than this is little [byte], or than this part of the disk [-]; judgement."""
DEADBAND = 1.2
"""So much more must be free again before there counts as enough [-]."""
MINUTE = 60.0
_RENEWED = 3
"""So often in one run a damaged store is set aside; then the disk is past recording on."""
_RUNS = "recording"
"""Key of the table `meta`: whether a recorder began and did not end by itself yet."""


class Safekeeping:
    """The store of one dairy with all that is done for its safety, for the recorder's thread."""

    def __init__(
        self,
        path: Path,
        words: Words,
        keep: float,
        clock: Clock,
        when: Callable[[], str],
        ticks: Clock,
    ) -> None:
        """Open the store; a damaged one is set aside, and a new one begun.

        Args:
            path: of the store.
            words: what alarms say.
            keep: how long readings are kept [s].
            clock: the dairy's time.
            when: the present as it stands in the name of a file that is set aside.
            ticks: a clock that never steps [s].

        Raises:
            StoreError: if there can be no store.
        """
        self._path, self._words, self._keep = path, words, keep
        self._clock, self._when, self._ticks = clock, when, ticks
        self._renewed = 0
        self._fault: UnwritableStoreError | None = None
        self._failed: UnwritableStoreError | None = None
        self._failed_at = ticks()
        self._looked_at: float | None = None
        self._free: float | None = None
        self._salvage: Salvage | None = None
        self._told = False
        self._gap = 0
        try:
            Store.open(path).close()
        except DamagedStoreError:
            self._set_aside()
        keep_head(path)
        self.store = Store.open(path)
        self.holding = Holding(self.store)
        """Where the recorder keeps things."""
        self._upkeep = self._begun()

    def look(self) -> bool:
        """Look after everything; to be called before each step.

        Returns:
            Whether a new store was begun, so that all has to be read anew.

        Raises:
            StoreError: for a damaged store that cannot be replaced.
        """
        self.holding.settle()
        now = self._ticks()
        self._failed, self._fault = self.holding.trouble or self._fault, None
        if self._failed is None:
            self._failed_at = now
        if self._looked_at is None or now - self._looked_at >= MINUTE:
            self._looked_at = now
            self._free = self._scarce()
        if self._upkeep.damage:
            self.renew(DamagedStoreError(self._upkeep.damage))
            return True
        return False

    def renew(self, fault: DamagedStoreError) -> None:
        """Begin a new store in place of the damaged one; what waits in memory goes into it.

        Raises:
            StoreError: the fault, if this happens again and again, or why there cannot be one.
        """
        self._upkeep.close()
        if self._renewed >= _RENEWED:
            raise fault
        self._set_aside()
        self.store.changed()  # which turns to the new file
        self._upkeep = self._begun()
        self.holding.settle()

    def fail(self, fault: UnwritableStoreError) -> None:
        """Take a fault that came out where nothing was held in memory."""
        self._fault = fault

    def trouble(self) -> str:
        """What viewers must know that no store can tell them; empty for nothing."""
        fault = self.holding.trouble or self._fault
        if fault is None:
            return ""
        lost = f", {self.holding.lost:,} found no room" if self.holding.lost else ""
        return f"{fault}; {self.holding.waiting:,} readings wait in memory{lost}"

    def conditions(self) -> Iterator[Condition]:
        """What is abnormal about the record."""
        if self._free is not None:
            yield own.filling(self._free, self._words)
        if self._failed is not None:
            full = isinstance(self._failed, StoreFullError)
            if full or self._ticks() - self._failed_at >= MINUTE:
                yield own.unwritable(full, MOST, self._words)
        elif self._gap != self.holding.lost:
            yield own.gap(self.holding.lost - self._gap, self._words)
            self._gap = self.holding.lost
        yield from self._damaged()

    def close(self) -> None:
        """Write what waits, and close the store."""
        self._upkeep.close()
        try:
            self.holding.put_meta(_RUNS, "yes" if self._upkeep.unclean else "")
            self.holding.settle()
        finally:
            self.store.close()

    def _begun(self) -> Upkeep:
        self._salvage = progress(self.store)
        unclean = self.store.meta(_RUNS) == "yes"
        self.holding.put_meta(_RUNS, "yes")
        return Upkeep(self._path, unclean, self._before)

    def _set_aside(self) -> None:
        self._renewed += 1
        renew(self._path, self._when())
        self._told = False

    def _before(self) -> float | None:
        """Readings from before this may go; none while the clock may be far ahead."""
        stamp = self.store.stamp
        return self._clock() - self._keep if stamp is None or stamp.sure else None

    def _scarce(self) -> float | None:
        """What is free on the disk if that is little [byte]; else None."""
        found = shutil.disk_usage(self._path.parent)
        least = max(FREE, PART * found.total) * (1.0 if self._free is None else DEADBAND)
        return float(found.free) if found.free < least else None

    def _damaged(self) -> Iterator[Condition]:
        """Told at once, and once more, with what was saved in the end, when all is over.

        Between the two there is a look without it, so that it calls anew; after the second it
        is over, and stands until it is acknowledged.
        """
        if self._salvage is None or self._told:
            return
        over = self._upkeep.salvaged
        if over is None or over.until is not None:
            yield own.damaged(self._salvage.aside, _saved(self._salvage), self._words)
        elif self._salvage.until is not None:
            self._salvage = over
        else:
            self._told = True
            self.holding.put_meta(PROGRESS, "")
            yield own.damaged(over.aside, _saved(over), self._words)


def _saved(salvage: Salvage) -> str:
    more = "" if salvage.until is None else " so far; the rest follows"
    torn = "; some of it could not be read" if salvage.torn else ""
    return (
        f"{salvage.entries:,} journal entries, {salvage.transitions:,} alarm transitions and "
        f"{salvage.readings:,} readings were saved{more}{torn}"
    )
