"""Readings, and their roll-ups by the minute, the hour and the day (UTC).

Instants are kept to the second and values to the hundredth, as integers, so
that sums are exact. A roll-up is not added to but worked out anew from what it
covers, a minute from its readings, an hour from its minutes and a day from its hours, in the
transaction that stores the readings; so it is right whatever the order in
which they arrive, and however often. What a sensor said while the maker tested
it, in a jar say, is not its place's and is not rolled up.

Roll-ups are kept for ever, readings for a time. Up to where readings were thinned out, the
horizon, none are taken in any more and no minute is worked out again: it would be
from what is left of them.
"""

import math
import sqlite3
from collections.abc import Iterable
from dataclasses import replace
from typing import Literal

from cavewatch.clock import Stamp
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.core.series import Bin
from cavewatch.store import unplaced
from cavewatch.store.clocks import Clocks
from cavewatch.store.errors import StoreError
from cavewatch.store.unplaced import Row

_DAY, _HOUR = 86400, 3600
_TABLES = {60: "minute", _HOUR: "hour", _DAY: "day"}
_COARSEST_FIRST = sorted(_TABLES.items(), reverse=True)
_PIECE = {
    table: f"SELECT ts, n, sum, min, max FROM {table} WHERE 1" for table in _TABLES.values()
} | {
    "reading": "SELECT ts, 1 AS n, v AS sum, v AS min, v AS max FROM reading"
    f" WHERE v IS NOT NULL AND st IS NOT '{SignalStatus.CHECK}'"
}
_OF_HOURS = "ch, sum(n), sum(sum), min(min), max(max) FROM hour WHERE ts >= ?1 AND ts < ?2"
_HORIZON = "thinned"
"""Key of the table `meta` for the horizon [s since 1970 UTC]."""


class Readings(Clocks):
    """The tables `channel`, `reading`, `unplaced`, `minute`, `hour` and `day`."""

    def add_readings(self, readings: Iterable[Reading]) -> int:
        """Store readings with their roll-ups in one transaction; return how many were new.

        Of readings that share channel and second the first stays; others, and those
        from before the horizon, are not counted. Readings without a value, and those of
        a function check, are stored but not rolled up. While the clock is not set they
        are kept to be placed as well, whatever stands in their place.

        Raises:
            StoreError: for a time or a value that is not finite; nothing is stored.
        """
        arrived: dict[tuple[Channel, bool], list[tuple[float, Row]]] = {}
        place = self._placer()
        for reading in readings:
            at, unsure = (reading.at, False) if reading.dated else place(reading.at)
            key = reading.channel, unsure
            placed = reading if at == reading.at else replace(reading, at=at)
            arrived.setdefault(key, []).append((at, _row(placed)))
        kept = 0
        with self._writing() as connection:
            horizon = self._horizon()
            for (channel, unsure), sent in arrived.items():
                number = self._number(connection, channel)
                if unsure and self.stamp is not None:
                    kept += unplaced.keep(connection, self.stamp, number, sent, horizon)
                elif rows := [(ts, number, v, st) for _, (ts, v, st) in sent if ts >= horizon]:
                    kept += connection.executemany(
                        "INSERT OR IGNORE INTO reading (ts, ch, v, st) VALUES (?, ?, ?, ?)", rows
                    ).rowcount
                    self._newest(connection, number, max(row[0] for row in rows))
            if kept:
                self.roll_up({ts // 60 * 60 for sent in arrived.values() for _, (ts, _, _) in sent})
        return kept

    def place(self, stamp: Stamp) -> None:
        """Put what was noted unsure in this boot where it belongs, now that its clock was set.

        Args:
            stamp: of now; sure if this is for good.
        """
        with self._writing() as connection:
            before = [each.until for each in self._placings(stamp.boot) if each.sure]
            connection.execute(
                "INSERT INTO placing (boot, until_up, offset, sure, written, how)"
                " VALUES (?, ?, ?, ?, ?, ?)",
                (stamp.boot, stamp.up, stamp.offset, stamp.sure, stamp.wall, stamp.by or "a step"),
            )
            touched = unplaced.place(
                connection, stamp, max(before, default=-math.inf), self._horizon()
            )
            self.roll_up({ts // 60 * 60 for ts in touched})

    def thin(self, before: float, hours: int = 1) -> bool:
        """Delete the oldest hours of readings, in one transaction; their roll-ups stay.

        Args:
            before: readings from then on stay [s since 1970 UTC].
            hours: how many at most, counted from the oldest reading.

        Returns:
            Whether there was anything to delete.
        """
        [(oldest,)] = self._rows("SELECT min(ts) FROM reading")
        if oldest is None or oldest >= before // _HOUR * _HOUR:
            return False
        end = min(int(before // _HOUR), oldest // _HOUR + hours) * _HOUR
        with self._writing() as connection:
            connection.execute(
                "INSERT OR REPLACE INTO meta (key, value) VALUES (?, ?)",
                (_HORIZON, str(max(end, self._horizon()))),
            )
            connection.execute("DELETE FROM reading WHERE ts < ?", (end,))
        return True

    def _horizon(self) -> int:
        """Up to where readings were thinned out [s since 1970 UTC]."""
        rows = self._rows("SELECT CAST(value AS INTEGER) FROM meta WHERE key = ?", (_HORIZON,))
        return rows[0][0] if rows else -(2**62)

    def roll_up(self, minutes: set[int]) -> None:
        """Work out minutes, named by their beginning, and the hours and days that hold them, within
        the caller's transaction; those before the horizon stay as they are.
        """
        horizon = self._horizon()
        _roll_up(self._connection, {ts for ts in minutes if ts >= horizon})

    def mend(self, since: int, until: int) -> None:
        """Add roll-ups that are missing between two whole hours, within the caller's transaction:
        minutes from readings, hours from minutes, and days from hours. A day is worked out
        again where its hours are made of more readings than it was.
        """
        span = (since, until)
        self._connection.execute(
            "INSERT OR IGNORE INTO minute (ts, ch, n, sum, min, max)"
            " SELECT ts / 60 * 60, ch, count(v), sum(v), min(v), max(v) FROM reading"
            " WHERE ts >= ? AND ts < ? AND st IS NOT ? GROUP BY 1, 2 HAVING count(v) > 0",
            (*span, SignalStatus.CHECK.value),
        )
        self._connection.execute(
            "INSERT OR IGNORE INTO hour (ts, ch, n, sum, min, max)"
            " SELECT ts / 3600 * 3600, ch, sum(n), sum(sum), min(min), max(max) FROM minute"
            " WHERE ts >= ? AND ts < ? GROUP BY 1, 2",
            span,
        )
        self._connection.execute(
            f"INSERT INTO day (ts, ch, n, sum, min, max) SELECT ts / {_DAY} * {_DAY}, {_OF_HOURS}"
            " GROUP BY 1, 2 ON CONFLICT DO UPDATE SET n = excluded.n, sum = excluded.sum,"
            " min = excluded.min, max = excluded.max WHERE excluded.n > n",
            (since // _DAY * _DAY, -(-until // _DAY) * _DAY),
        )

    def latest(self) -> dict[Channel, Reading]:
        """The newest reading of each channel that ever had one.

        While the clock is not set that is the one that was taken last, whatever its time.
        """
        rows = self._rows(
            "SELECT place, quantity, ts, v, st FROM channel CROSS JOIN reading"
            " ON ts = newest AND ch = channel.id WHERE unplaced IS NULL"
            " UNION ALL SELECT place, quantity, ts, v, st FROM channel CROSS JOIN unplaced"
            " ON unplaced.id = channel.unplaced"
        )
        found = (
            self._reading(self._channel(place, quantity), ts, v, st)
            for place, quantity, ts, v, st in rows
        )
        return {reading.channel: reading for reading in found}

    def readings(self, channel: Channel, since: float, until: float) -> list[Reading]:
        """A channel's readings from `since` to before `until` [s since 1970 UTC], by time."""
        rows = self._rows(
            "SELECT ts, v, st FROM reading WHERE ts >= ? AND ts < ?"
            " AND ch = (SELECT id FROM channel WHERE place = ? AND quantity = ?) ORDER BY ts",
            (since, until, channel.place, channel.quantity),
        )
        return [self._reading(channel, ts, v, st) for ts, v, st in rows]

    def bins(
        self, channel: Channel, width: Literal[60, 3600], since: float, until: float
    ) -> list[Bin]:
        """A channel rolled up by the minute or the hour, by time.

        Bins start at whole minutes or hours UTC. Given are those that meet the
        time from `since` to before `until` [s since 1970 UTC]; a bin without a
        value is left out.
        """
        rows = self._rows(
            f"SELECT ts * 1.0, n, sum / 100.0 / n, min / 100.0, max / 100.0 FROM {_TABLES[width]}"
            " WHERE ts > ? AND ts < ?"
            " AND ch = (SELECT id FROM channel WHERE place = ? AND quantity = ?) ORDER BY ts",
            (since - width, until, channel.place, channel.quantity),
        )
        return [Bin._make(row) for row in rows]

    def gathered(self, channel: Channel, length: float, since: float, until: float) -> list[Bin]:
        """A channel in longer bins, by time, each named by the first of what it is made of.

        Bins start at multiples of their length since 1970 UTC, a number of whole seconds.
        They are made of the coarsest that divides it, days, hours, minutes or readings, of those
        that begin from `since` to before `until` [s since 1970 UTC]; but days only of those that
        lie wholly in between, with the hours at either end.
        """
        pieces = _pieces(length, since, until)
        made_of = " UNION ALL ".join(
            f"{_PIECE[table]} AND ts >= ? AND ts < ? AND ch ="
            " (SELECT id FROM channel WHERE place = ? AND quantity = ?)"
            for table, _, _ in pieces
        )
        named = channel.place, channel.quantity
        rows = self._rows(
            "SELECT min(ts) * 1.0, sum(n), sum(sum) / 100.0 / sum(n), min(min) / 100.0,"
            f" max(max) / 100.0 FROM ({made_of}) GROUP BY ts / ?",
            (*(v for _, begin, end in pieces for v in (begin, end, *named)), int(length)),
        )
        return [Bin._make(row) for row in rows]

    def _number(self, connection: sqlite3.Connection, channel: Channel) -> int:
        """The number of a channel, which is given to it when it first has a reading."""
        named = channel.place, channel.quantity
        connection.execute(
            "INSERT INTO channel (place, quantity, newest) VALUES (?, ?, 0) ON CONFLICT DO NOTHING",
            named,
        )
        [(number,)] = self._rows("SELECT id FROM channel WHERE place = ? AND quantity = ?", named)
        return int(number)

    def _newest(self, connection: sqlite3.Connection, channel: int, ts: int) -> None:
        """Keep when a channel's newest reading was, now that there is none to be placed."""
        sure = min(ts, int(self.stamp.wall)) if self.stamp and self.stamp.sure else 0
        connection.execute(
            "UPDATE channel SET newest = max(newest, ?1), sure = max(sure, ?2), unplaced = NULL"
            " WHERE id = ?3 AND (newest < ?1 OR sure < ?2 OR unplaced IS NOT NULL)",
            (ts, sure, channel),
        )

    def _channel(self, place: str, quantity: str) -> Channel:
        try:
            return Channel(place, Quantity(quantity))
        except ValueError as fault:
            raise StoreError(
                f"{self._name}: '{quantity}' at '{place}' in 'channel' is not a quantity; "
                f"it must be one of {', '.join(Quantity)}"
            ) from fault

    def _reading(self, channel: Channel, ts: int, v: int | None, st: str | None) -> Reading:
        try:
            status = SignalStatus.GOOD if st is None else SignalStatus(st)
        except ValueError as fault:
            raise StoreError(
                f"{self._name}: the reading of {channel} at {ts} in 'reading' has the unknown "
                f"status '{st}'"
            ) from fault
        return Reading(channel, float(ts), None if v is None else v / 100.0, status)


def _pieces(length: float, since: float, until: float) -> list[tuple[str, float, float]]:
    """Of which tables bins of this length are made, each from when to before when."""
    table = next((table for width, table in _COARSEST_FIRST if length % width == 0), "reading")
    if table != _TABLES[_DAY]:
        return [(table, since, until)]
    first = min(until, -(-since // _DAY) * _DAY)
    last = max(first, until // _DAY * _DAY)
    finer = _TABLES[_HOUR]
    return [(finer, since, first), (table, first, last), (finer, last, until)]


def _row(reading: Reading) -> Row:
    status = None if reading.status is SignalStatus.GOOD else reading.status.value
    try:
        value = None if reading.value is None else round(reading.value * 100.0)
        return math.floor(reading.at), value, status
    except (ValueError, OverflowError) as fault:
        raise StoreError(
            f"the reading of {reading.channel} is {reading.value} at {reading.at}; "
            "time and value must be finite numbers"
        ) from fault


def _roll_up(connection: sqlite3.Connection, minutes: set[int]) -> None:
    """Work out these minutes, named by their beginning, and the hours and days that hold them."""
    # A reading may have left, so that there is nothing in a minute any more.
    hours = sorted({ts // _HOUR * _HOUR for ts in minutes})
    days = sorted({ts // _DAY * _DAY for ts in hours})
    connection.executemany("DELETE FROM minute WHERE ts = ?", [(ts,) for ts in minutes])
    connection.executemany("DELETE FROM hour WHERE ts = ?", [(ts,) for ts in hours])
    connection.executemany("DELETE FROM day WHERE ts = ?", [(ts,) for ts in days])
    connection.executemany(
        "INSERT INTO minute (ts, ch, n, sum, min, max)"
        " SELECT ?1, ch, count(v), sum(v), min(v), max(v) FROM reading"
        " WHERE ts >= ?1 AND ts < ?1 + 60 AND st IS NOT ?2 GROUP BY ch HAVING count(v) > 0",
        [(ts, SignalStatus.CHECK.value) for ts in sorted(minutes)],
    )
    connection.executemany(
        "INSERT INTO hour (ts, ch, n, sum, min, max)"
        " SELECT ?1, ch, sum(n), sum(sum), min(min), max(max) FROM minute"
        " WHERE ts >= ?1 AND ts < ?1 + 3600 GROUP BY ch",
        [(ts,) for ts in hours],
    )
    connection.executemany(
        f"INSERT INTO day (ts, ch, n, sum, min, max) SELECT ?1, {_OF_HOURS} GROUP BY ch",
        [(ts, ts + _DAY) for ts in days],
    )
