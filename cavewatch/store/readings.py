"""Readings, and their roll-ups by the minute and by the hour.

Instants are kept to the second and values to the hundredth, as integers, so
that sums are exact. A roll-up is not added to but worked out anew from what it
covers, a minute from its readings and an hour from its minutes, in the
transaction that stores the readings; so it is right whatever the order in
which they arrive, and however often. What a sensor said while the maker tested
it, in a jar say, is not its place's and is not rolled up.
"""

import math
import sqlite3
from collections.abc import Iterable
from typing import Literal, NamedTuple

from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.store.database import Database
from cavewatch.store.errors import StoreError

_TABLES = {60: "minute", 3600: "hour"}
_Row = tuple[int, int | None, str | None]
"""Second, hundredths and status of a reading, as they are stored."""


class Bin(NamedTuple):
    """What a channel read over one minute or hour; a week has 10,080, and tuples are quick."""

    at: float
    """When it begins [s since 1970 UTC]."""
    n: int
    """Number of readings with a value, at least 1."""
    mean: float
    """In the channel's unit, as are `low` and `high`."""
    low: float
    high: float


class Readings(Database):
    """The tables `channel`, `reading`, `minute` and `hour`."""

    def add_readings(self, readings: Iterable[Reading]) -> int:
        """Store readings with their roll-ups in one transaction; return how many were new.

        Of readings that share channel and second the first stays; others are
        not counted. Readings without a value, and those of a function check, are
        stored but not rolled up.

        Raises:
            StoreError: for a time or a value that is not finite; nothing is stored.
        """
        arrived: dict[Channel, list[_Row]] = {}
        for reading in readings:
            arrived.setdefault(reading.channel, []).append(_row(reading))
        kept = 0
        with self._writing() as connection:
            for channel, rows in arrived.items():
                connection.execute(
                    "INSERT INTO channel (place, quantity, newest) VALUES (?, ?, ?)"
                    " ON CONFLICT DO UPDATE SET newest = excluded.newest"
                    " WHERE newest < excluded.newest",
                    (channel.place, channel.quantity, max(ts for ts, _, _ in rows)),
                )
                [(number,)] = self._rows(
                    "SELECT id FROM channel WHERE place = ? AND quantity = ?",
                    (channel.place, channel.quantity),
                )
                kept += connection.executemany(
                    "INSERT OR IGNORE INTO reading (ts, ch, v, st) VALUES (?, ?, ?, ?)",
                    [(ts, number, v, st) for ts, v, st in rows],
                ).rowcount
            if kept:
                _roll_up(
                    connection,
                    {ts // 60 * 60 for rows in arrived.values() for ts, _, _ in rows},
                )
        return kept

    def latest(self) -> dict[Channel, Reading]:
        """The newest reading of each channel that ever had one."""
        rows = self._rows(
            "SELECT place, quantity, ts, v, st FROM channel"
            " JOIN reading ON ts = newest AND ch = channel.id ORDER BY channel.id"
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


def _row(reading: Reading) -> _Row:
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
    """Work out these minutes, named by their beginning, and the hours that hold them."""
    connection.executemany(
        "INSERT OR REPLACE INTO minute (ts, ch, n, sum, min, max)"
        " SELECT ?1, ch, count(v), sum(v), min(v), max(v) FROM reading"
        " WHERE ts >= ?1 AND ts < ?1 + 60 AND st IS NOT ?2 GROUP BY ch HAVING count(v) > 0",
        [(ts, SignalStatus.CHECK.value) for ts in sorted(minutes)],
    )
    connection.executemany(
        "INSERT OR REPLACE INTO hour (ts, ch, n, sum, min, max)"
        " SELECT ?1, ch, sum(n), sum(sum), min(min), max(max) FROM minute"
        " WHERE ts >= ?1 AND ts < ?1 + 3600 GROUP BY ch",
        [(ts,) for ts in sorted({ts // 3600 * 3600 for ts in minutes})],
    )
