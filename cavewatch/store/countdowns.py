"""What the recorder worked out last: the table of countdowns, and the brines of the tubs.

What cannot be read is left out; the recorder works it out anew.
"""

import contextlib
from collections.abc import Callable, Iterable
from typing import Any, TypeVar

from cavewatch.core.brine.predicted import Predicted
from cavewatch.core.countdown import Countdown
from cavewatch.store.database import Database
from cavewatch.store.errors import UnreadableRowError

_BRINES, _DOUBTS = "brines", "doubts"
"""Keys of the table `meta`."""


_T = TypeVar("_T")


class Countdowns(Database):
    """The table `countdown`, and two rows of `meta`."""

    def put_countdowns(self, countdowns: Iterable[Countdown]) -> None:
        """Make these the countdowns; what is unchanged is not written again."""
        wanted = {countdown.wheel: self._text(countdown.to_plain()) for countdown in countdowns}
        with self._writing() as connection:
            stored = dict(self._rows("SELECT wheel, plain FROM countdown"))
            connection.executemany(
                "DELETE FROM countdown WHERE wheel = ?",
                [(wheel,) for wheel in stored if wheel not in wanted],
            )
            connection.executemany(
                "INSERT OR REPLACE INTO countdown (wheel, plain) VALUES (?, ?)",
                [row for row in wanted.items() if row not in stored.items()],
            )

    def countdowns(self) -> list[Countdown]:
        """The countdowns by wheel."""
        found = []
        for wheel, text in self._rows("SELECT wheel, plain FROM countdown ORDER BY wheel"):
            with contextlib.suppress(UnreadableRowError):
                found.append(self._parsed("countdown", wheel, text, Countdown.from_plain))
        return found

    def put_brines(self, brines: Iterable[Predicted]) -> None:
        """Make these the brines of the tubs that wheels are in."""
        self._put(_BRINES, [brine.to_plain() for brine in brines])

    def brines(self) -> list[Predicted]:
        """The brines."""
        return self._listed(_BRINES, Predicted.from_plain)

    def put_doubts(self, doubts: Iterable[str]) -> None:
        """Make these what the recorder left out of what was measured, in words."""
        self._put(_DOUBTS, list(doubts))

    def doubts(self) -> list[str]:
        """What the recorder left out."""
        return self._listed(_DOUBTS, str)

    def _put(self, key: str, plain: list[Any]) -> None:
        text = self._text(plain)
        if (key, text) in self._rows("SELECT key, value FROM meta WHERE key = ?", (key,)):
            return
        with self._writing() as connection:
            connection.execute(
                "INSERT OR REPLACE INTO meta (key, value) VALUES (?, ?)", (key, text)
            )

    def _listed(self, key: str, parse: Callable[[Any], _T]) -> list[_T]:
        def every(plain: Any) -> list[_T]:
            return [parse(each) for each in plain]

        for (text,) in self._rows("SELECT value FROM meta WHERE key = ?", (key,)):
            with contextlib.suppress(UnreadableRowError):
                return self._parsed("meta", key, text, every)
        return []
