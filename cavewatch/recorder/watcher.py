"""Alarms from readings and the picture: what has become of each channel, and what else is wrong."""

import math
from collections.abc import Iterable, Iterator, Mapping

from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.alarms.conditions import Here, brine, late
from cavewatch.core.alarms.engine import Condition, step
from cavewatch.core.alarms.limits import Tunings, tuning
from cavewatch.core.alarms.suppression import suppressions
from cavewatch.core.alarms.texts import Words
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Entry, standing
from cavewatch.core.reading import Channel, Reading
from cavewatch.core.signal.record import UNKNOWN, records
from cavewatch.recorder.channel import ChannelWatch


class Watcher:
    """Feeds the pure alarm engine; holds what it needs from one look to the next.

    Whoever drives it goes along time: `due_before` the next reading's time asks
    for a `judge` at moments in which time alone changes something, `read` takes the
    readings of a moment, and where `changed` then says so it judges that moment.
    What comes out does not depend on how many readings are handed over at once.
    """

    def __init__(
        self,
        channels: Mapping[Channel, float],
        words: Words,
        started: float,
        alarms: Mapping[str, Alarm],
        latest: Mapping[Channel, Reading],
        tunings: Tunings,
    ) -> None:
        """Start from what stood before.

        Args:
            channels: every channel with the age at which it counts as silent [s].
            words: what alarms say, in the maker's units.
            started: now [s since 1970 UTC].
            alarms: as they stand, by key.
            latest: newest reading of each channel, as it was sent.
            tunings: how sensitive the watches of some channels are; others as usual.
        """
        self._words = words
        self._tunings = tunings
        abnormal = {key for key, alarm in alarms.items() if alarm.abnormal}
        self._channels = {
            channel: ChannelWatch(channel, age, started, latest.get(channel), abnormal)
            for channel, age in channels.items()
        }
        self._unknown = {c: r for c, r in latest.items() if c not in channels}
        self._here: dict[str, Here] = {}
        self._others: tuple[Condition, ...] = ()
        self._own: dict[str, Condition] = {}
        self._suppressed = suppressions(())
        self._judged_at = self._due = -math.inf
        self.alarms = dict(alarms)
        self.changed = False
        """Whether something moved since the last `judge`, by a reading or with the recorder."""

    @property
    def latest(self) -> Mapping[Channel, Reading]:
        """Newest reading of each channel, as it was sent, with the status of its signal."""
        known = {c: w.last for c, w in self._channels.items() if w.last is not None}
        return {**self._unknown, **known}

    def recall(self, channel: Channel, readings: Iterable[Reading]) -> None:
        """Take a channel's readings from before the start, by time."""
        if channel in self._channels:
            self._channels[channel].recall(readings)

    def hear(self, entries: Iterable[Entry]) -> None:
        """Take the whole journal anew: what it says of suppressed alarms and of sensors."""
        said = list(entries)
        self._suppressed = suppressions(standing(said))
        known = records(said)
        for channel, watch in self._channels.items():
            watch.record = known.get(channel, UNKNOWN)

    def see(self, dairy: Dairy) -> None:
        """Take over ranges, wheels and tasks from a new picture."""
        for view in dairy.places:
            place = view.place
            inside = tuple(dairy.wheels[number] for number in view.wheels)
            self._here[place.name] = Here(place, inside, dairy.at, view.measured)
            for item in view.channels:
                if item.channel in self._channels:
                    tuned = self._tunings.get(item.channel)
                    if tuned is None:
                        tuned = tuning(place.kind, item.channel.quantity)
                    self._channels[item.channel].see(item.range, tuned)
        self._others = tuple(self._beside(dairy))
        self._due = -math.inf

    def read(self, reading: Reading, now: float) -> Reading:
        """Take one reading as it was sent; gives it back with the status of its signal.

        Args:
            reading: of any channel.
            now: the clock's time [s since 1970 UTC].
        """
        watch = self._channels.get(reading.channel)
        if watch is None:
            self._unknown[reading.channel] = reading
            return reading
        kept = watch.read(reading, now)
        if watch.changed:
            self.changed = True
        return kept

    def hold(self, own: Iterable[Condition]) -> None:
        """Take what is abnormal with the recorder itself from now on, in place of what was."""
        found = {condition.key: condition for condition in own}
        self.changed |= found.keys() != self._own.keys()
        self._own = found

    def due_before(self, at: float) -> float | None:
        """The first moment before `at` in which time alone changes something; None for none."""
        if self._due >= at:
            return None
        # A reading puts off silence, so that what was due may not be so any more.
        turns = (watch.due() for watch in self._channels.values())
        self._due = min(*turns, self._suppressed.next_end(self._judged_at), math.inf)
        return self._due if self._due < at else None

    def judge(self, at: float, entries: Iterable[Entry]) -> tuple[Transition, ...]:
        """Step the alarms to now; entries are the new ones, which may answer an alarm."""
        for watch in self._channels.values():
            watch.pass_time(at)
        self._judged_at, self._due, self.changed = at, -math.inf, False
        self.alarms, transitions = step(
            self.alarms, self._abnormal(), entries, at, self._suppressed
        )
        return transitions

    def _abnormal(self) -> Iterator[Condition]:
        for channel, watch in self._channels.items():
            here = self._here.get(channel.place)
            if here is not None:
                yield from watch.conditions(here, self._words)
        yield from self._others
        yield from self._own.values()

    def _beside(self, dairy: Dairy) -> Iterator[Condition]:
        """What is abnormal beside the channels, when the picture was drawn."""
        told = {key for key, alarm in self.alarms.items() if alarm.abnormal}
        for task in dairy.tasks:
            found = late(task, dairy.countdowns, dairy.wheels, dairy.at, self._words, told)
            if found is not None:
                yield found
        for view in dairy.places:
            if view.life is not None:
                yield from brine(self._here[view.place.name], view.life, self._words)
