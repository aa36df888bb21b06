"""The table of alarm transitions: appended to, never changed, like the journal."""

from collections.abc import Iterable

from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.alarms.table import State
from cavewatch.store.database import Database, cleaned


class Alarms(Database):
    """The table `alarm`."""

    def add_transitions(self, transitions: Iterable[Transition]) -> None:
        """Store transitions in their order; they are on the disk when this returns."""
        plains = [cleaned(transition.to_plain()) for transition in transitions]
        if not plains:
            return
        rows = [
            (plain["alarm"]["key"], plain["at"], plain["alarm"]["state"], self._text(plain))
            for plain in plains
        ]
        with self._writing() as connection:
            connection.executemany(
                "INSERT INTO alarm (key, at, state, plain) VALUES (?, ?, ?, ?)", rows
            )

    def alarms(self) -> dict[str, Alarm]:
        """Alarms as they stand, by key: after the last transition of each, NORM left out.

        Raises:
            StoreError: naming file and row, for one that cannot be read.
        """
        rows = self._rows(
            "SELECT id, plain FROM alarm WHERE id IN (SELECT max(id) FROM alarm GROUP BY key)"
            " AND state <> ? ORDER BY id",
            (State.NORM,),
        )
        return {found.alarm.key: found.alarm for found in self._transitions(rows)}

    def transitions(self, since: float) -> list[Transition]:
        """The transitions from `since` on [s since 1970 UTC], by time; may raise StoreError."""
        return self._transitions(
            self._rows("SELECT id, plain FROM alarm WHERE at >= ? ORDER BY at, id", (since,))
        )

    def _transitions(self, rows: list[tuple[int, str]]) -> list[Transition]:
        return [self._parsed("alarm", row, text, Transition.from_plain) for row, text in rows]
