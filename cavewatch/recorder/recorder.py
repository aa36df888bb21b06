"""One step of recording: readings in, alarms stepped, countdowns solved, all of it kept."""

import math
from collections.abc import Callable, Iterable, Mapping
from itertools import groupby
from operator import attrgetter
from typing import Protocol

from cavewatch.clock import Clock
from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.limits import Tunings
from cavewatch.core.alarms.texts import Words
from cavewatch.core.dairy import Dairy, Folded, picture
from cavewatch.core.journal import Assayed, BrineMeasured, Entry, Tended, Voided, Weighed
from cavewatch.core.place import Place
from cavewatch.core.reading import Channel, Reading
from cavewatch.core.signal.stuck import LEARNING, LONGEST
from cavewatch.core.style import StyleBook
from cavewatch.recorder.keeping import Keeping
from cavewatch.recorder.solver import Solver
from cavewatch.recorder.watcher import Watcher

REDRAW = 600.0
"""Ranges follow the wheels' ages, and tasks become late, at this interval; entries count
at once [s]."""
RECALLED = LEARNING + LONGEST
"""Readings from so long before a start tell how a sensor is wont to stand still, even if it stands
still at the start, and where trends are going [s]."""

_ANEW = (Assayed, BrineMeasured, Tended, Voided, Weighed)
"""Entries that bear on countdowns of wheels that they do not name."""


class ReadingSource(Protocol):
    """What the recorder takes readings from; `sensors.source.Source` is one."""

    def take(self) -> list[Reading]:
        """Everything since the last call, oldest first."""


class Recorder:
    """Records one dairy into one store."""

    def __init__(
        self,
        store: Keeping,
        sources: Iterable[ReadingSource],
        clock: Clock,
        places: Iterable[Place],
        channels: Mapping[Channel, float],
        styles: StyleBook,
        words: Words,
        tunings: Tunings,
        commit_every: float = 10.0,
        refresh: float = 300.0,
        drawn: Callable[[Dairy], None] = lambda _: None,
    ) -> None:
        """Take up where the store left off.

        Args:
            store: the only one to write readings, alarms and countdowns to it.
            sources: already started.
            clock: the dairy's time.
            places: in the order of the config.
            channels: with the age at which each counts as silent [s].
            styles: the style book.
            words: what alarms say, in the maker's units.
            tunings: how sensitive the alarms of some channels are.
            commit_every: readings wait at most this long in memory [s].
            refresh: how often the measured temperature may move a countdown [s].
            drawn: is handed each new picture.
        """
        self._store = store
        self._sources = list(sources)
        self._clock = clock
        self._places = tuple(places)
        self._channels = channels
        self._styles = styles
        self._commit_every = commit_every
        self._refresh = refresh
        self._drawn = drawn
        now = clock()
        self._watcher = Watcher(channels, words, now, store.alarms(), store.latest(), tunings)
        self._solver = Solver(store, styles)
        self._entries: list[Entry] = []
        self._ahead: list[Entry] = []
        self._folded_from: list[Entry] = []
        self._folded = Folded.of((), styles, self._places)
        self._take_up(store.entries())
        self._watcher.hear(entry for entry in self._entries if entry.at <= now)
        for channel in channels:
            self._watcher.recall(channel, store.readings(channel, now - RECALLED, now))
        self._waiting: list[Reading] = []
        self._committed_at = now
        self._drawn_at = self._solved_at = -math.inf
        self._dairy: Dairy | None = None
        store.changed()

    @property
    def alarms(self) -> Mapping[str, Alarm]:
        """Alarms as they stand, by key."""
        return self._watcher.alarms

    @property
    def latest(self) -> Mapping[Channel, Reading]:
        """Newest reading of each channel, as it was sent, with the status of its signal."""
        return self._watcher.latest

    @property
    def dairy(self) -> Dairy | None:
        """The picture that was drawn last, some minutes old at most; None before the first step.

        Its alarms and readings are of that moment; `alarms` and `latest` are of now.
        """
        return self._dairy

    def step(self, own: Iterable[Condition] = ()) -> list[Transition]:
        """Bring everything up to the clock's now, in the order of the readings' times.

        Args:
            own: all that is abnormal now with the recorder itself, such as a full disk.

        Returns:
            The alarms' transitions on the way.
        """
        now = self._clock()
        if self._store.changed():
            newest = self._entries[-1].id if self._entries else 0
            self._take_up(self._store.entries(after=newest))
        readings = sorted((r for s in self._sources for r in s.take()), key=attrgetter("at"))
        transitions: list[Transition] = []
        for at, group in groupby(readings, key=attrgetter("at")):
            transitions += self._look(min(at, now), group, now)
        self._watcher.hold(own)
        transitions += self._look(now, (), now)
        if now - self._solved_at >= self._refresh:
            self._draw(now, anew=True)
        if now - self._committed_at >= self._commit_every:
            self.flush()
        return transitions

    def gather(self) -> None:
        """Commit all that the sources have, unjudged: before another recorder takes over."""
        now = self._clock()
        readings = (reading for source in self._sources for reading in source.take())
        self._waiting += [self._watcher.read(reading, now) for reading in readings]
        self.flush()

    def flush(self) -> None:
        """Commit the readings that wait."""
        if self._waiting:
            self._store.add_readings(self._waiting)
            self._waiting.clear()
        self._committed_at = self._clock()

    def _look(self, at: float, readings: Iterable[Reading], now: float) -> list[Transition]:
        """Go on to one moment, take its readings, and judge where anything may have changed."""
        transitions: list[Transition] = []
        while (due := self._watcher.due_before(at)) is not None:
            transitions += self._judge(due, ())
        for reading in readings:
            self._waiting.append(self._watcher.read(reading, now))
        fresh = self._come_of_age(at)
        if fresh:
            self._watcher.hear(entry for entry in self._entries if entry.at <= at)
        drawn = fresh or at - self._drawn_at >= REDRAW
        if drawn:
            moved = any(isinstance(entry.act, _ANEW) for entry in fresh)
            self._draw(at, anew=moved)
        if drawn or self._watcher.changed:
            transitions += self._judge(at, fresh)
        return transitions

    def _judge(self, at: float, fresh: Iterable[Entry]) -> tuple[Transition, ...]:
        transitions = self._watcher.judge(at, fresh)
        if transitions:
            self.flush()
            self._store.add_transitions(transitions)
        return transitions

    def _take_up(self, entries: Iterable[Entry]) -> None:
        """Take new entries; each counts from the time of what it tells."""
        entries = list(entries)
        self._entries += entries
        self._ahead = sorted(self._ahead + entries, key=lambda entry: (-entry.at, -entry.id))

    def _come_of_age(self, at: float) -> list[Entry]:
        """The entries that count from now on, soonest first."""
        fresh = []
        while self._ahead and self._ahead[-1].at <= at:
            fresh.append(self._ahead.pop())
        return fresh

    def _draw(self, at: float, anew: bool) -> None:
        """Fold the picture, solve what is due, and let the alarms see both."""
        self._drawn_at = at
        dairy = self._picture(at)
        if anew or dairy.pending:
            if anew:
                self.flush()
                self._solved_at = at
            self._solver.solve(dairy, self._entries)
            dairy = self._picture(at)
        self._watcher.see(dairy)
        self._dairy = dairy
        self._drawn(dairy)

    def _picture(self, at: float) -> Dairy:
        entries = [entry for entry in self._entries if entry.at <= at]
        if entries != self._folded_from:
            self._folded_from = entries
            self._folded = Folded.of(entries, self._styles, self._places)
        return picture(
            at,
            self._places,
            self._channels,
            self._styles,
            entries,
            self._watcher.latest,
            self._watcher.alarms.values(),
            self._solver.countdowns,
            self._folded,
            self._solver.brines,
            self._solver.doubts,
        )
