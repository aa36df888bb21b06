"""Readings of a file into the store: in short transactions, so that a recorder can go on."""

import itertools
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Protocol

from cavewatch.core.reading import Channel, Reading
from cavewatch.store import Store

_AT_ONCE = 2000
"""Readings written in one transaction; with a commit for each, a year would take hours."""
_DAY = 86_400.0


class ReadingsFile(Protocol):
    """What readings can be taken from."""

    faults: list[str]
    """What is wrong in it, some of many, each in a sentence with its line."""
    refused: int
    """Rows with something wrong."""
    left_out: int
    """Rows that went back in time, behind one that is told as a fault."""
    part: float
    """How much of it was read, 0 to 1."""

    def readings(self, latest: float) -> Iterator[Reading]:
        """Each reading; rows beyond `latest` are refused [s since 1970 UTC]."""


@dataclass(slots=True)
class Taken:
    """What became of the readings of a file."""

    new: int = 0
    """Stored."""
    there: int = 0
    """Had been stored before."""
    other: int = 0
    """In whose place another value stands, which stays."""
    late: int = 0
    """From before the time for which single readings are kept."""
    since: float | None = None
    """Of the first that was stored or stood there [s since 1970 UTC]."""
    until: float | None = None
    channels: set[Channel] = field(default_factory=set)
    whole: bool = False
    """Whether the file was read to its end."""


def take(
    store: Store, file: ReadingsFile, taken: Taken, latest: float, tell: Callable[[], None]
) -> None:
    """Store what a file holds; what was written stays if this is interrupted.

    Args:
        store: without a clock of its own, because these times come from another one.
        file: to be read.
        taken: counts, kept up to date after each transaction.
        latest: rows beyond it are refused [s since 1970 UTC].
        tell: called after each transaction.
    """
    # Times that another clock gave are not placed anew when this machine's is set.
    dated = (
        Reading(found.channel, found.at, found.value, found.status, dated=True)
        for found in file.readings(latest)
    )
    while chunk := list(itertools.islice(dated, _AT_ONCE)):
        new = store.add_readings(chunk)
        taken.new += new
        if new < len(chunk):
            _compare(store, chunk, new, taken)
        taken.since = chunk[0].at if taken.since is None else taken.since
        taken.until = chunk[-1].at
        taken.channels.update(reading.channel for reading in chunk)
        tell()
    taken.whole = True


def _compare(store: Store, chunk: list[Reading], new: int, taken: Taken) -> None:
    """Count what stood there before: the same, another value, or nothing for its age."""
    same = 0
    for channel, sent in _days(chunk):
        until = max(reading.at for reading in sent) + 1.0
        stands = {
            found.at: _kept(found) for found in store.readings(channel, sent[0].at // 1, until)
        }
        for reading in sent:
            standing = stands.get(reading.at // 1)
            if standing is None:
                taken.late += 1
            elif standing == _kept(reading):
                same += 1
            else:
                taken.other += 1
    taken.there += same - new


def _days(chunk: Iterable[Reading]) -> Iterator[tuple[Channel, list[Reading]]]:
    """Readings of one channel and at most a day each, so that the store gives few at once."""
    by_day: dict[tuple[Channel, float], list[Reading]] = {}
    for reading in chunk:
        by_day.setdefault((reading.channel, reading.at // _DAY), []).append(reading)
    for (channel, _), sent in by_day.items():
        yield channel, sorted(sent, key=lambda reading: reading.at)


def _kept(reading: Reading) -> tuple[int | None, str]:
    """Value and status as a store keeps them."""
    return None if reading.value is None else round(reading.value * 100.0), reading.status
