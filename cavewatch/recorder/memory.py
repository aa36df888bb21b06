"""A recorder's keeping that lasts no longer than a rehearsal and takes no database."""

import math
from array import array
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from typing import Literal

from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.brine.predicted import Predicted
from cavewatch.core.countdown import Countdown
from cavewatch.core.journal import Entry
from cavewatch.core.reading import Channel, Reading, SignalStatus
from cavewatch.store import Bin


class Curve:
    """One channel's values by time; 16 bytes a reading."""

    def __init__(self) -> None:
        self.times = array("d")
        """[s since 1970 UTC], never going back."""
        self.values = array("d")
        """In the channel's unit; NaN where the sensor had none or was being tested."""

    def __iter__(self) -> Iterator[tuple[float, float]]:
        return zip(self.times, self.values, strict=True)

    def bins(self, width: float, since: float, until: float) -> Iterator[Bin]:
        """Rolled up; see `Readings.bins`."""
        first = bisect_left(self.times, since // width * width)
        begin = self.times[first] // width * width if first < len(self.times) else until
        while begin < until and first < len(self.times):
            last = bisect_left(self.times, begin + width, first)
            values = [value for value in self.values[first:last] if not math.isnan(value)]
            if values:
                mean = math.fsum(values) / len(values)
                yield Bin(begin, len(values), mean, min(values), max(values))
            begin, first = begin + width, last


class Memory:
    """Keeps curves and transitions of one run; see `Keeping`."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        """Begin with a journal and nothing else."""
        self.curves: dict[Channel, Curve] = {}
        self.transitions: list[Transition] = []
        self._entries = list(entries)
        self._countdowns: list[Countdown] = []
        self._brines: list[Predicted] = []

    def changed(self) -> bool:
        """Nobody else writes here."""
        return False

    def entries(self, after: int = 0) -> list[Entry]:
        """The journal's entries with a higher number."""
        return [entry for entry in self._entries if entry.id > after]

    def latest(self) -> dict[Channel, Reading]:
        """A run begins without readings."""
        return {}

    def alarms(self) -> dict[str, Alarm]:
        """A run begins without alarms."""
        return {}

    def countdowns(self) -> list[Countdown]:
        """As worked out last."""
        return self._countdowns

    def bins(
        self, channel: Channel, width: Literal[60, 3600], since: float, until: float
    ) -> list[Bin]:
        """A channel rolled up by the minute or the hour."""
        return (
            list(self.curves[channel].bins(width, since, until)) if channel in self.curves else []
        )

    def readings(self, channel: Channel, since: float, until: float) -> list[Reading]:
        """A channel's readings by time, without what was said of their signal."""
        return [
            Reading(channel, at, None if math.isnan(value) else value)
            for at, value in self.curves.get(channel, ())
            if since <= at < until
        ]

    def add_readings(self, readings: Iterable[Reading]) -> None:
        """Append readings that do not go back in time."""
        for reading in readings:
            curve = self.curves.get(reading.channel)
            if curve is None:
                curve = self.curves[reading.channel] = Curve()
            curve.times.append(reading.at)
            value = None if reading.status is SignalStatus.CHECK else reading.value
            curve.values.append(math.nan if value is None else value)

    def add_transitions(self, transitions: Iterable[Transition]) -> None:
        """Keep what alarms did."""
        self.transitions += transitions

    def put_countdowns(self, countdowns: Iterable[Countdown]) -> None:
        """Make these the countdowns."""
        self._countdowns = list(countdowns)

    def brines(self) -> list[Predicted]:
        """Of the tubs that wheels are in, as worked out last."""
        return self._brines

    def put_brines(self, brines: Iterable[Predicted]) -> None:
        """Make these the brines."""
        self._brines = list(brines)

    def put_doubts(self, doubts: Iterable[str]) -> None:
        """A rehearsal tells no doubts."""
