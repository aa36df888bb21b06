"""Readings from before the clock was set: shown where it says, and kept to be put right.

The table `unplaced` keeps each with the time since its boot, whether or not its
place in `reading` was free. What finds its place taken in the end as well stays
here: nothing is overwritten, and nothing is lost.
"""

import sqlite3
from collections.abc import Iterable
from math import floor

from cavewatch.clock import Stamp

Row = tuple[int, int | None, str | None]
"""Second, hundredths and status of a reading, as they are stored."""


def keep(
    connection: sqlite3.Connection,
    stamp: Stamp,
    channel: int,
    rows: Iterable[tuple[float, Row]],
    horizon: int,
) -> int:
    """Keep readings of a channel.

    Args:
        connection: within a transaction.
        stamp: of the clock by which they were taken.
        channel: its number.
        rows: the readings, each with its time to the fraction of a second.
        horizon: before it none is put into `reading` [s since 1970 UTC].

    Returns:
        How many stand in `reading`, too, because their place was free.
    """
    standing, newest = 0, None
    for at, (ts, v, st) in rows:
        stands = _stand(connection, channel, (ts, v, st), horizon)
        newest = connection.execute(
            "INSERT INTO unplaced (boot, up, ch, ts, v, st, stands) VALUES (?, ?, ?, ?, ?, ?, ?)",
            (stamp.boot, at - stamp.offset, channel, ts, v, st, stands),
        ).lastrowid
        standing += stands
    connection.execute("UPDATE channel SET unplaced = ? WHERE id = ?", (newest, channel))
    return standing


def place(connection: sqlite3.Connection, stamp: Stamp, since: float, horizon: int) -> set[int]:
    """Put what a boot noted where it belongs, overwriting nothing.

    Args:
        connection: within a transaction.
        stamp: of now; its boot is placed, for good if it is sure.
        since: what was noted up to then has its place already [s since the boot].
        horizon: before it none is put into `reading` [s since 1970 UTC].

    Returns:
        The seconds that gained or lost a reading [s since 1970 UTC].
    """
    found = connection.execute(
        "SELECT id, up, ch, ts, v, st, stands FROM unplaced WHERE boot = ? AND up > ? ORDER BY id",
        (stamp.boot, since),
    ).fetchall()
    moved = [row for row in found if floor(row[1] + stamp.offset) != row[3] or not row[6]]
    # All leave before any arrives, so that none takes the place of one that is on its way.
    connection.executemany(
        "DELETE FROM reading WHERE ts = ? AND ch = ?",
        [(ts, ch) for _, _, ch, ts, _, _, stands in moved if stands],
    )
    touched = {ts for _, _, _, ts, _, _, stands in moved if stands}
    for number, up, ch, _, v, st, _ in moved:
        ts = floor(up + stamp.offset)
        stands = _stand(connection, ch, (ts, v, st), horizon)
        connection.execute(
            "UPDATE unplaced SET ts = ?, stands = ? WHERE id = ?", (ts, stands, number)
        )
        touched.add(ts)
    if stamp.sure:
        _settle(connection, stamp.boot, since)
    return touched


def _stand(connection: sqlite3.Connection, channel: int, row: Row, horizon: int) -> int:
    """Put a reading into `reading` if its place is free; 1 if it stands there, else 0."""
    ts, v, st = row
    if ts < horizon:
        return 0
    return connection.execute(
        "INSERT OR IGNORE INTO reading (ts, ch, v, st) VALUES (?, ?, ?, ?)", (ts, channel, v, st)
    ).rowcount


def _settle(connection: sqlite3.Connection, boot: str, since: float) -> None:
    """From now on what stands in `reading` is a reading like any other."""
    connection.execute(
        "UPDATE channel SET unplaced = NULL, newest = max(newest, coalesce((SELECT max(ts)"
        " FROM unplaced WHERE boot = ?1 AND up > ?2 AND ch = channel.id AND stands), newest))"
        " WHERE unplaced IN (SELECT id FROM unplaced WHERE boot = ?1)",
        (boot, since),
    )
    connection.execute("DELETE FROM unplaced WHERE boot = ? AND up > ? AND stands", (boot, since))
