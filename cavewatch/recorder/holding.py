"""A keeping that loses nothing while the store cannot be written to.

What the store does not take waits in memory, in order, and goes in by itself as
soon as it can, under the clock that it came with. Only readings are bounded: the oldest
go, and are counted.
"""

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from itertools import groupby, islice
from typing import Literal, TypeVar

from cavewatch.clock import Stamp
from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.alarms.table import State
from cavewatch.core.brine.predicted import Predicted
from cavewatch.core.countdown import Countdown
from cavewatch.core.journal import Entry
from cavewatch.core.reading import Channel, Reading
from cavewatch.store import Bin, Store, UnwritableStoreError

MOST = 200_000
"""Readings that wait in memory; about 40 MB, and five days of four channels every 10 s."""
_AT_ONCE = 5000
"""Readings in one transaction."""


class Holding:
    """Keeps in a store, and meanwhile in memory; see `Keeping`.

    A damaged store raises DamagedStoreError; what was to be written then waits, too.
    """

    def __init__(self, store: Store, most: int = MOST) -> None:
        """Keep in this store; hold so many readings at most."""
        self._store = store
        self._most = most
        self._readings: deque[tuple[Stamp | None, Reading]] = deque()
        self._transitions: list[tuple[Stamp | None, Transition]] = []
        self._states: dict[str, Callable[[], None]] = {}
        self._countdowns: list[Countdown] | None = None
        self._brines: list[Predicted] | None = None
        self._meta: dict[str, str] = {}
        self.trouble: UnwritableStoreError | None = None
        """Why what waits could not be written at the last try; None if all is written."""
        self.lost = 0
        """Readings that had to go unwritten."""

    @property
    def waiting(self) -> int:
        """Readings that wait in memory."""
        return len(self._readings)

    def settle(self) -> None:
        """Try to write what waits."""
        try:
            for stamp, held in _by_clock(self._transitions):
                with self._under(stamp):
                    self._store.add_transitions(held)
                del self._transitions[: len(held)]
            while self._readings:
                stamp, some = next(_by_clock(islice(self._readings, _AT_ONCE)))
                with self._under(stamp):
                    self._store.add_readings(some)
                for _ in some:
                    self._readings.popleft()
            while self._states:
                name, write = next(iter(self._states.items()))
                write()
                del self._states[name]
            self._countdowns = self._brines = None
            self._meta.clear()
            self.trouble = None
        except UnwritableStoreError as fault:
            self.trouble = fault

    def _written(self) -> None:
        """Write what waits, unless that failed before: then not again before `settle`."""
        if self.trouble is None:
            self.settle()

    @contextmanager
    def _under(self, stamp: Stamp | None) -> Iterator[None]:
        """Let the store write under the clock that something came with."""
        present, self._store.stamp = self._store.stamp, stamp
        try:
            yield
        finally:
            self._store.stamp = present

    # What the recorder writes

    def add_readings(self, readings: Iterable[Reading]) -> None:
        """Keep readings."""
        stamp = self._store.stamp
        self._readings.extend((stamp, reading) for reading in readings)
        while len(self._readings) > self._most:
            self._readings.popleft()
            self.lost += 1
        self._written()

    def add_transitions(self, transitions: Iterable[Transition]) -> None:
        """Keep what alarms did."""
        stamp = self._store.stamp
        self._transitions += [(stamp, transition) for transition in transitions]
        self._written()

    def put_countdowns(self, countdowns: Iterable[Countdown]) -> None:
        """Make these the countdowns."""
        kept = self._countdowns = list(countdowns)
        self._states["countdowns"] = lambda: self._store.put_countdowns(kept)
        self._written()

    def put_brines(self, brines: Iterable[Predicted]) -> None:
        """Make these the brines."""
        kept = self._brines = list(brines)
        self._states["brines"] = lambda: self._store.put_brines(kept)
        self._written()

    def put_doubts(self, doubts: Iterable[str]) -> None:
        """Make these what was measured and not believed, in words."""
        kept = list(doubts)
        self._states["doubts"] = lambda: self._store.put_doubts(kept)
        self._written()

    def put_meta(self, key: str, value: str) -> None:
        """Keep a text under a key."""
        self._meta[key] = value
        self._states[f"meta {key}"] = lambda: self._store.put_meta(key, value)
        self._written()

    # What it reads: the store with what waits laid over it, except for roll-ups

    def changed(self) -> bool:
        """Whether somebody else wrote since the last call."""
        return self._store.changed()

    def entries(self, after: int = 0) -> list[Entry]:
        """The journal's entries with a higher number."""
        return self._store.entries(after)

    def latest(self) -> dict[Channel, Reading]:
        """The newest reading of each channel."""
        found = self._store.latest()
        for _, reading in self._readings:
            if reading.channel not in found or found[reading.channel].at < reading.at:
                found[reading.channel] = reading
        return found

    def alarms(self) -> dict[str, Alarm]:
        """Alarms as they stand, by key."""
        found = self._store.alarms() | {t.alarm.key: t.alarm for _, t in self._transitions}
        return {key: alarm for key, alarm in found.items() if alarm.state is not State.NORM}

    def countdowns(self) -> list[Countdown]:
        """As worked out last."""
        return self._store.countdowns() if self._countdowns is None else self._countdowns

    def brines(self) -> list[Predicted]:
        """Of the tubs that wheels are in, as worked out last."""
        return self._store.brines() if self._brines is None else self._brines

    def bins(
        self, channel: Channel, width: Literal[60, 3600], since: float, until: float
    ) -> list[Bin]:
        """A channel rolled up by the minute or the hour, without what waits."""
        return self._store.bins(channel, width, since, until)

    def readings(self, channel: Channel, since: float, until: float) -> list[Reading]:
        """A channel's readings, by time."""
        waiting = {
            reading.at: reading
            for _, reading in self._readings
            if reading.channel == channel and since <= reading.at < until
        }
        stored = {reading.at: reading for reading in self._store.readings(channel, since, until)}
        return [reading for _, reading in sorted((waiting | stored).items())]

    def meta(self, key: str) -> str | None:
        """What was last put under this key."""
        return self._meta[key] if key in self._meta else self._store.meta(key)


_T = TypeVar("_T")


def _by_clock(held: Iterable[tuple[Stamp | None, _T]]) -> Iterator[tuple[Stamp | None, list[_T]]]:
    """What came one after the other under one clock, together; all that are sure are one."""

    def clock(each: tuple[Stamp | None, _T]) -> tuple[str, int] | None:
        stamp = each[0]
        return None if stamp is None or stamp.sure else (stamp.boot, round(stamp.offset))

    for _, group in groupby(list(held), clock):
        some = list(group)
        yield some[-1][0], [each for _, each in some]
