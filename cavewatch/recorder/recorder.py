"""One step of recording: readings in, alarms stepped, countdowns solved, all of it kept."""

import math
from collections.abc import Iterable, Mapping
from itertools import groupby
from typing import Protocol

from cavewatch.clock import Clock
from cavewatch.core.alarms.alarm import Transition
from cavewatch.core.alarms.conditions import Show
from cavewatch.core.dairy import Dairy, picture
from cavewatch.core.journal import Acknowledged, BrineMeasured, Tended, Voided
from cavewatch.core.place import Place
from cavewatch.core.reading import Channel, Reading
from cavewatch.core.style import StyleBook
from cavewatch.recorder.solver import Solver
from cavewatch.recorder.watcher import Watcher
from cavewatch.store import Store

LOOK = 10.0
"""Alarms are judged at least this far apart in the dairy's time [s]."""
REDRAW = 600.0
"""Ranges follow the wheels' ages at this interval; entries count at once [s]."""


class ReadingSource(Protocol):
    """What the recorder takes readings from; `sensors.source.Source` is one."""

    def take(self) -> list[Reading]:
        """Everything since the last call, oldest first."""


class Recorder:
    """Records one dairy into one store."""

    def __init__(
        self,
        store: Store,
        sources: Iterable[ReadingSource],
        clock: Clock,
        places: Iterable[Place],
        channels: Mapping[Channel, float],
        styles: StyleBook,
        show: Show,
        commit_every: float = 10.0,
        refresh: float = 300.0,
    ) -> None:
        """Take up where the store left off.

        Args:
            store: the only one to write readings, alarms and countdowns to it.
            sources: already started.
            clock: the dairy's time.
            places: in the order of the config.
            channels: with the age at which each counts as silent [s].
            styles: the style book.
            show: a value in the maker's units, for alarm texts.
            commit_every: readings wait at most this long in memory [s].
            refresh: how often the measured temperature may move a countdown [s].
        """
        self._store = store
        self._sources = list(sources)
        self._clock = clock
        self._places = tuple(places)
        self._channels = channels
        self._styles = styles
        self._commit_every = commit_every
        self._refresh = refresh
        now = clock()
        self._watcher = Watcher(channels, show, now, store.alarms(), store.latest())
        self._solver = Solver(store)
        self._entries = store.entries()
        self._counted: set[int] = set()
        self._waiting: list[Reading] = []
        self._committed_at = now
        self._judged_at = self._drawn_at = self._solved_at = -math.inf
        store.changed()

    def step(self) -> list[Transition]:
        """Bring everything up to the clock's now, in the order of the readings' times.

        Returns:
            The alarms' transitions on the way.
        """
        now = self._clock()
        if self._store.changed():
            newest = self._entries[-1].id if self._entries else 0
            self._entries += self._store.entries(after=newest)
        readings = sorted((r for s in self._sources for r in s.take()), key=lambda r: r.at)
        transitions: list[Transition] = []
        for at, group in groupby(readings, key=lambda reading: reading.at):
            transitions += self._look(min(at, now), group)
        transitions += self._look(now, ())
        if now - self._solved_at >= self._refresh:
            self._draw(now, anew=True)
        if now - self._committed_at >= self._commit_every:
            self.flush()
        return transitions

    def flush(self) -> None:
        """Commit the readings that wait."""
        if self._waiting:
            self._store.add_readings(self._waiting)
            self._waiting.clear()
        self._committed_at = self._clock()

    def _look(self, at: float, readings: Iterable[Reading]) -> tuple[Transition, ...]:
        """Take the readings of one moment, and judge."""
        for reading in readings:
            self._waiting.append(reading)
            self._watcher.read(reading)
        fresh = [e for e in self._entries if e.at <= at and e.id not in self._counted]
        if not fresh and at - self._judged_at < LOOK:
            return ()
        self._judged_at = at
        if fresh or at - self._drawn_at >= REDRAW:
            self._counted.update(entry.id for entry in fresh)
            moved = any(isinstance(entry.act, BrineMeasured | Tended | Voided) for entry in fresh)
            self._draw(at, anew=moved)
        seen = [e for e in self._entries if isinstance(e.act, Acknowledged) and e.at <= at]
        transitions = self._watcher.judge(at, seen)
        if transitions:
            self.flush()
            self._store.add_transitions(transitions)
        return transitions

    def _draw(self, at: float, anew: bool) -> None:
        """Fold the picture, solve what is due, and let the alarms see both."""
        self._drawn_at = at
        dairy = self._picture(at)
        if anew or dairy.pending:
            if anew:
                self.flush()
                self._solved_at = at
            self._solver.solve(dairy, anew)
            dairy = self._picture(at)
        self._watcher.see(dairy)

    def _picture(self, at: float) -> Dairy:
        return picture(
            at,
            self._places,
            self._channels,
            self._styles,
            self._entries,
            self._watcher.latest,
            self._watcher.alarms.values(),
            self._solver.countdowns,
        )
