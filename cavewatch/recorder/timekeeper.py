"""The recorder's clock, and what is to be done when the machine's is set.

The machine's clock may jump while a reading is on its way from the wire to the store. So the
recorder goes by a clock of its own: the time since the machine was switched on, which
never steps, and what is to be added to it, which changes at a `look` and nowhere
else. All that was noted before the look is by the old clock, and all after it by the new one.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from cavewatch import clock
from cavewatch.clock import Clock, Stamp
from cavewatch.store import UnwritableStoreError
from cavewatch.store.clocks import STEP


class Timed(Protocol):
    """What a timekeeper needs of the store."""

    stamp: Stamp | None
    """The clock of what is written from now on."""

    def judged(self, stamp: Stamp) -> Stamp:
        """The stamp with who set its clock, as far as is known."""

    def unsettled(self, boot: str) -> bool:
        """Whether anything noted in this boot still waits for its clock to be right."""

    def place(self, stamp: Stamp) -> None:
        """Put what was noted unsure in this boot where it belongs."""


class Timekeeper:
    """Gives the time by which a recorder works, and places facts when the clock is set."""

    def __init__(
        self,
        store: Timed,
        stamp: Callable[[], Stamp] = clock.stamp,
        since_boot: Clock = clock.since_boot,
    ) -> None:
        """Begin with the machine's clock as it is, and place what an earlier run left.

        Args:
            store: that the recorder writes to.
            stamp: tells the machine's time and who set it.
            since_boot: seconds since the machine was switched on.

        Raises:
            StoreError: if the store cannot be read.
        """
        self._store = store
        self._stamp = stamp
        self._since_boot = since_boot
        self._held = store.judged(stamp())
        if store.unsettled(self._held.boot):
            try:
                store.place(self._held)
            except UnwritableStoreError:
                # Not believed as yet, so that the next look tries again.
                self._held = replace(self._held, by=None)
        store.stamp = self._held

    def now(self) -> float:
        """The recorder's time [s since 1970 UTC]; what it reads is stamped with it."""
        return self._since_boot() + self._held.offset

    @property
    def sure(self) -> bool:
        """Whether the clock is right."""
        return self._held.sure

    def look(self, settle: Callable[[], object] = lambda: None) -> bool:
        """See whether the machine's clock was set, and place what was noted before that.

        Args:
            settle: puts into the store, which still goes by the clock as it was, all that was
                stamped by it.

        Returns:
            True if time jumped or facts were placed, so that a recorder must begin anew. While
            the store cannot be written the old clock goes on, and a later look tries again.

        Raises:
            DamagedStoreError: if the store is.
        """
        seen = self._store.judged(self._stamp())
        jumped = abs(seen.offset - self._held.offset) > STEP
        placing = not self._held.sure and (jumped or seen.sure)
        before, self._held = self._held, seen
        if jumped or placing:
            try:
                settle()
                if placing:
                    up = self._since_boot()
                    self._store.place(replace(seen, wall=up + seen.offset, up=up))
            except UnwritableStoreError:
                self._held = before
                return False
        self._store.stamp = seen
        return jumped or placing
