"""The table of alarm transitions: appended to, never changed, like the journal."""

import contextlib
import math
from collections.abc import Iterable, Iterator
from typing import Any

from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.alarms.table import State
from cavewatch.store.clocks import Clocks
from cavewatch.store.database import cleaned
from cavewatch.store.errors import UnreadableRowError

_COLUMNS = "id, plain, boot, up, unsure, since_up, called_up"
_Ups = tuple[float | None, float | None]
"""Time since the boot of an alarm's `since` and `called`; None for one that is sure or older."""


class Alarms(Clocks):
    """The table `alarm`."""

    def add_transitions(self, transitions: Iterable[Transition]) -> None:
        """Store transitions in their order; they are on the disk when this returns."""
        happened = [(each, cleaned(each.to_plain())) for each in transitions]
        if not happened:
            return
        texts = [self._text(plain) for _, plain in happened]
        with self._writing() as connection:
            for (transition, plain), text in zip(happened, texts, strict=True):
                key, state = plain["alarm"]["key"], plain["alarm"]["state"]
                clock = self._written(transition.at)
                ups = self._ups(key, transition)
                connection.execute(
                    "INSERT INTO alarm (key, at, state, plain, boot, up, unsure, since_up,"
                    " called_up) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                    (key, transition.at, state, text, *clock, *ups),
                )

    def alarms(self) -> dict[str, Alarm]:
        """Alarms as they stand, by key: after the last transition of each, NORM left out.

        One that cannot be read is left out as well: what is still abnormal then calls anew.
        """
        rows = self._rows(
            f"SELECT {_COLUMNS} FROM alarm WHERE id IN (SELECT max(id) FROM alarm GROUP BY key)"
            " AND state <> ? ORDER BY id",
            (State.NORM,),
        )
        return {found.alarm.key: found.alarm for found in self._told_by(rows)}

    def transitions(self, since: float, until: float = math.inf) -> list[Transition]:
        """The readable transitions from `since` to before `until` [s since 1970 UTC], by time."""
        rows = self._rows(
            f"SELECT {_COLUMNS} FROM alarm WHERE at >= ? AND at < ? OR unsure ORDER BY at, id",
            (since, until),
        )
        found = [each for each in self._told_by(rows) if since <= each.at < until]
        return sorted(found, key=lambda each: each.at)

    def _ups(self, key: str, transition: Transition) -> _Ups:
        """Which of an alarm's own times were told by the clock that is not set.

        They change only to the time of a transition; else they are as in the one before.
        """
        if self.stamp is None or self.stamp.sure:
            return None, None
        up = transition.at - self.stamp.offset
        before: list[_Ups] = self._rows(
            "SELECT since_up, called_up FROM alarm WHERE boot = ? AND unsure"
            " AND id = (SELECT max(id) FROM alarm WHERE key = ?)",
            (self.stamp.boot, key),
        )
        since, called = before[0] if before else (None, None)
        return (
            up if transition.alarm.since == transition.at else since,
            up if transition.alarm.called == transition.at else called,
        )

    def _told_by(self, rows: Iterable[tuple[Any, ...]]) -> Iterator[Transition]:
        """What the rows tell that can be read."""
        for row in rows:
            with contextlib.suppress(UnreadableRowError):
                yield self._transition(row)

    def _transition(self, row: tuple[Any, ...]) -> Transition:
        """What a row tells, where it belongs in time."""
        number, text, boot, up, unsure, since_up, called_up = row
        found = self._parsed("alarm", number, text, Transition.from_plain)
        at = self._placed(boot, up) if unsure else None
        if at is None:
            return found
        return found.placed(at, self._placed(boot, since_up), self._placed(boot, called_up))
