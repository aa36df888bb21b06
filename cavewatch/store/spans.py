"""Which spans of time are on record, and what alarms did in one: for who reads years of it.

Each call is one short read, so that a recorder at work is never held up, and gives
no more than was asked for, so that years need no memory.
"""

import heapq
import math
from collections.abc import Iterator
from typing import Literal

from cavewatch.core.alarms.alarm import Transition
from cavewatch.store.alarms import _COLUMNS
from cavewatch.store.store import Store

Table = Literal["reading", "minute", "hour"]
_AT_ONCE = 500


def recorded(store: Store, table: Table = "reading") -> tuple[float, float] | None:
    """When the oldest and the newest row of a table begin [s since 1970 UTC]; None for none."""
    # Asked for together they would be looked for in every row.
    [(first, last)] = store._rows(
        f"SELECT (SELECT min(ts) FROM {table}), (SELECT max(ts) FROM {table})"
    )
    return None if first is None else (float(first), float(last))


def thinned_until(store: Store) -> float | None:
    """Up to where single readings were deleted [s since 1970 UTC]; None while none were."""
    horizon = store._horizon()
    return float(horizon) if horizon > 0 else None


def unsure(store: Store, since: float, until: float) -> int:
    """How many readings between two times [s since 1970 UTC] were noted before the clock was set,
    and wait for it or found their place taken.
    """
    [(count,)] = store._rows(
        "SELECT count(*) FROM unplaced WHERE ts >= ? AND ts < ?", (since, until)
    )
    return int(count)


def transitions(store: Store) -> Iterator[Transition]:
    """All that alarms did and that can be read, by time.

    What was noted before the clock was set is given where it belongs, and read at once.
    """
    unsure = store._rows(f"SELECT {_COLUMNS} FROM alarm WHERE unsure ORDER BY at, id")
    moved = sorted(store._told_by(unsure), key=_when)
    return heapq.merge(_sure(store), moved, key=_when)


def _sure(store: Store) -> Iterator[Transition]:
    """Those noted by a clock that was right."""
    last = (-math.inf, 0)
    while rows := store._rows(
        f"SELECT at, {_COLUMNS} FROM alarm WHERE NOT unsure AND (at, id) > (?, ?)"
        f" ORDER BY at, id LIMIT {_AT_ONCE}",
        last,
    ):
        yield from store._told_by(tuple(row) for _, *row in rows)
        last = rows[-1][0], rows[-1][1]


def _when(transition: Transition) -> float:
    return transition.at
