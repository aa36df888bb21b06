"""Alarms from readings and the picture: what each edge's watch has seen so far."""

from collections.abc import Iterable, Mapping

from cavewatch import clock
from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.alarms.conditions import Show, clash, late, out_of_range, silent
from cavewatch.core.alarms.engine import Condition, step
from cavewatch.core.alarms.limits import MINUTE, Side, Watch, tuning, watched
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Entry
from cavewatch.core.place import Place
from cavewatch.core.ranges import Range
from cavewatch.core.reading import Channel, Reading

UNBOUND = Range(None, None)
FAILED_FOR = 2 * MINUTE
"""A sensor that says it has no value is believed after this long [s]."""


class Watcher:
    """Feeds the pure alarm engine; holds what it needs from one look to the next."""

    def __init__(
        self,
        channels: Mapping[Channel, float],
        show: Show,
        started: float,
        alarms: Mapping[str, Alarm],
        latest: Mapping[Channel, Reading],
    ) -> None:
        """Start from what stood before.

        Args:
            channels: every channel with the age at which it counts as silent [s].
            show: a value in the maker's units.
            started: now [s since 1970 UTC].
            alarms: as they stand, by key.
            latest: newest reading of each channel.
        """
        self._channels = channels
        self._show = show
        self._started = started
        self._latest = dict(latest)
        self._good_at = {c: r.at for c, r in latest.items() if r.value is not None}
        self._places: dict[Channel, Place] = {}
        self._ranges: dict[Channel, Range] = {}
        self._dairy: Dairy | None = None
        self.alarms = dict(alarms)
        # An alarm that stands goes on standing until its value has been seen inside.
        self._watches = {
            (channel, side): Watch(f"{channel} {side}" in alarms)
            for channel in channels
            for side in Side
        }

    @property
    def latest(self) -> Mapping[Channel, Reading]:
        """Newest reading of each channel."""
        return self._latest

    def see(self, dairy: Dairy) -> None:
        """Take over ranges and tasks from a new picture."""
        self._dairy = dairy
        for place in dairy.places:
            for view in place.channels:
                self._places[view.channel] = place.place
                self._ranges[view.channel] = view.range

    def read(self, reading: Reading) -> None:
        """Take one reading."""
        channel = reading.channel
        self._latest[channel] = reading
        place = self._places.get(channel)
        if reading.value is None or place is None:
            return
        self._good_at[channel] = reading.at
        limits = self._ranges[channel]
        tuned = tuning(place.kind, channel.quantity)
        for side in Side:
            key = (channel, side)
            self._watches[key] = watched(
                self._watches[key], side, limits, reading.value, reading.at, tuned
            )

    def judge(self, at: float, entries: Iterable[Entry]) -> tuple[Transition, ...]:
        """Step the alarms to now; entries are those that may hold acknowledgements."""
        self.alarms, transitions = step(self.alarms, list(self._abnormal(at)), entries, at)
        return transitions

    def _abnormal(self, at: float) -> Iterable[Condition]:
        for channel, age in self._channels.items():
            place = self._places.get(channel)
            if place is None:
                continue
            limits = self._ranges.get(channel, UNBOUND)
            last = self._latest.get(channel)
            good_at = self._good_at.get(channel, self._started)
            failed = last is not None and last.value is None
            if at - good_at > (max(age, FAILED_FOR) if failed else age):
                yield silent(channel, last)
                continue
            if limits.clash:
                yield clash(channel, limits)
                continue
            if last is None or last.value is None:
                continue
            for side in Side:
                if self._watches[channel, side].abnormal:
                    yield out_of_range(place, channel, side, limits, last.value, self._show)
        if self._dairy is not None:
            for task in self._dairy.tasks:
                found = late(task, self._dairy.countdowns, at, clock.duration)
                if found is not None:
                    yield found
