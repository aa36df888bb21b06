"""Under which clock facts are written, and where those belong that were noted before it was set.

A row keeps the time that it was written with, beside the boot of the machine and
the time since then. Where nobody had set the clock it counts as unsure: the
table `placing`, appended to and never changed, then says what is to be added to
its time since the boot, and whoever reads it is given its place in true time.
"""

from collections.abc import Callable
from dataclasses import replace

from cavewatch.clock import SetBy, Stamp
from cavewatch.core.placing import Placing, offset_at
from cavewatch.store.database import Database

STEP = 2.0
"""A clock that moves by more was set [s]; what moves it by less keeps it."""
_RIGHT = "clock right"
"""Under this the table `meta` keeps the boot for which the maker said that the clock is right."""


class Clocks(Database):
    """The table `placing`, and the clock that this store's rows are written under."""

    stamp: Stamp | None = None
    """The clock of what is written from now on; None: it is not known, and so not doubted."""

    def keep_time(self, stamp: Stamp) -> Stamp:
        """Write under this clock from now on; gives back what `judged` makes of it."""
        self.stamp = self.judged(stamp)
        return self.stamp

    def judged(self, stamp: Stamp) -> Stamp:
        """The stamp with who set its clock, as far as the store knows more than the machine.

        The maker's word for this boot counts for everything. A clock that was right once stays
        so until the machine is switched off; but none is right that is behind the newest
        fact of which the store is sure.
        """
        if self.meta(_RIGHT) == stamp.boot:
            return replace(stamp, by=SetBy.MAKER)
        if stamp.wall < self._newest_sure() - STEP:
            return replace(stamp, by=None)
        if stamp.by is None and any(each.sure for each in self._placings(stamp.boot)):
            return replace(stamp, by=SetBy.NETWORK)
        return stamp

    def say_right(self, boot: str) -> None:
        """Keep the maker's word that the clock is right until this boot ends."""
        self.put_meta(_RIGHT, boot)

    def generation(self) -> tuple[object, ...]:
        """Another one when facts were placed, or came from a damaged file: who keeps any then
        reads them all anew.
        """
        [(count,)] = self._rows("SELECT count(*) FROM placing")
        return self.file, count

    def unsettled(self, boot: str) -> bool:
        """Whether anything noted in this boot still waits for its clock to be right."""
        until = max((each.until for each in self._placings(boot) if each.sure), default=-1.0)
        [(waits,)] = self._rows(
            "SELECT EXISTS (SELECT 1 FROM unplaced WHERE boot = ?1 AND up > ?2)"
            " OR EXISTS (SELECT 1 FROM journal WHERE unsure AND boot = ?1 AND up > ?2)"
            " OR EXISTS (SELECT 1 FROM alarm WHERE unsure AND boot = ?1 AND up > ?2)",
            (boot, until),
        )
        return bool(waits)

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

    def _placed(self, boot: str | None, up: float | None) -> float | None:
        """Where in true time something belongs that was noted unsure [s since 1970 UTC].

        None where the clock of its boot has not been set since.
        """
        if boot is None or up is None:
            return None
        offset = offset_at(self._placings(boot), up)
        return None if offset is None else up + offset

    def _placings(self, boot: str) -> list[Placing]:
        """What the clock of a boot was set to, in the order of writing."""
        rows = self._rows(
            "SELECT boot, until_up, offset, sure FROM placing WHERE boot = ? ORDER BY id", (boot,)
        )
        return [Placing(name, until, offset, bool(sure)) for name, until, offset, sure in rows]

    def _written(self, wall: float) -> tuple[str | None, float | None, bool]:
        """Boot, time since then and 'unsure' of a row that is written with this time."""
        if self.stamp is None:
            return None, None, False
        return self.stamp.boot, wall - self.stamp.offset, not self.stamp.sure

    def _placer(self) -> Callable[[float], tuple[float, bool]]:
        """Gives the place in time of what is written with a time, and whether that is unsure.

        What had to wait for room on the disk may be written only after its clock was set.
        """
        stamp = self.stamp
        if stamp is None or stamp.sure:
            return lambda at: (at, False)
        settled = [each for each in self._placings(stamp.boot) if each.sure]

        def place(at: float) -> tuple[float, bool]:
            offset = offset_at(settled, at - stamp.offset)
            return (at, True) if offset is None else (at - stamp.offset + offset, False)

        return place

    def _newest_sure(self) -> float:
        """The newest time that a sure clock of this machine gave [s since 1970 UTC]."""
        [newest] = self._rows(
            "SELECT (SELECT max(sure) FROM channel),"
            " (SELECT written FROM journal WHERE NOT unsure ORDER BY id DESC LIMIT 1),"
            " (SELECT at FROM alarm WHERE NOT unsure ORDER BY id DESC LIMIT 1)"
        )
        return max((each for each in newest if each is not None), default=0.0)
