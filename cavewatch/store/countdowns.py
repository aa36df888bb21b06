"""The table of countdowns: what was worked out last, replaced as a whole."""

from collections.abc import Iterable

from cavewatch.core.countdown import Countdown
from cavewatch.store.database import Database


class Countdowns(Database):
    """The table `countdown`."""

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
        """The countdowns by wheel; raise StoreError naming file and row if one cannot be read."""
        return [
            self._parsed("countdown", wheel, text, Countdown.from_plain)
            for wheel, text in self._rows("SELECT wheel, plain FROM countdown ORDER BY wheel")
        ]
