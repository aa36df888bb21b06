"""What the maker did with a sensor: checks and tests, folded from the journal.

Readings are kept as the sensor sent them (with the config's offset). What a
check found is applied here and nowhere else, to readings from the check's time
on, so that a check entered later or voided holds for all readings it is about.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Entry, SensorChecked, Testing, standing
from cavewatch.core.reading import Channel, Quantity, Reading

_DAY = 86_400.0
KEEPS = {Quantity.TEMPERATURE: 365 * _DAY, Quantity.HUMIDITY: 180 * _DAY}
"""After this long a check is old [s]; judgement: humidity sensors drift in damp air."""
TOGETHER = 7 * _DAY
"""Points of one calibration lie at most so far apart [s]; judgement."""


@dataclass(frozen=True, slots=True)
class Check:
    """One check and its time."""

    at: float
    """[s since 1970 UTC]"""
    found: SensorChecked


@dataclass(frozen=True, slots=True)
class Calibration:
    """What holds from one check to the next."""

    at: float
    """When it begins [s since 1970 UTC]."""
    points: tuple[SensorChecked, ...]
    """The newest check against each thing, those of the last days only, low values first."""

    @property
    def fit(self) -> bool:
        """False if any point found the sensor unfit."""
        return all(point.fit for point in self.points)

    def offset(self, value: float) -> float:
        """What is to be added to a value as it was sent [K or %].

        Between two points it goes along the straight line through both; beyond them it stays
        as at the nearer one, because a slope found over a few per cent says little outside.
        """
        low, high = self.points[0], self.points[-1]
        if value <= low.shown or high.shown <= low.shown:
            return low.offset
        if value >= high.shown:
            return high.offset
        part = (value - low.shown) / (high.shown - low.shown)
        return low.offset + part * (high.offset - low.offset)


@dataclass(frozen=True, slots=True)
class SensorRecord:
    """The checks and tests of one channel's sensor."""

    checks: tuple[Check, ...] = ()
    """Oldest first."""
    calibrations: tuple[Calibration, ...] = ()
    """What follows from them, newest first."""
    tests: tuple[tuple[float, float], ...] = ()
    """From when until when the maker had it in hand [s since 1970 UTC], oldest first."""

    def tested_at(self, at: float) -> bool:
        """True while the maker has the sensor in hand."""
        return any(begin <= at < end for begin, end in self.tests)

    def calibration(self, at: float) -> Calibration | None:
        """The one that held then."""
        for found in self.calibrations:
            if found.at <= at:
                return found
        return None

    def unfit_at(self, at: float) -> bool:
        """True if the newest calibration found the sensor unfit."""
        found = self.calibration(at)
        return found is not None and not found.fit

    def overdue_at(self, at: float, quantity: Quantity) -> bool:
        """True if the newest check is old; a sensor that was never checked is not overdue."""
        found = self.calibration(at)
        return found is not None and at - found.at > KEEPS[quantity]

    def offset(self, value: float, at: float) -> float:
        """What is to be added to a value sent at that time [K or %]; an unfit sensor keeps its."""
        found = self.calibration(at)
        return 0.0 if found is None or not found.fit else found.offset(value)

    def believed(self, quantity: Quantity, value: float, at: float) -> float:
        """A value sent at that time as it is to be believed; humidity stays within 0 to 100 %."""
        if not self.calibrations:
            return value
        value += self.offset(value, at)
        return min(max(value, 0.0), 100.0) if quantity is Quantity.HUMIDITY else value

    def corrected(self, reading: Reading) -> Reading:
        """The reading as it is to be believed."""
        if not self.calibrations or reading.value is None:
            return reading
        quantity = reading.channel.quantity
        return replace(reading, value=self.believed(quantity, reading.value, reading.at))


UNKNOWN = SensorRecord()
"""Of a sensor that was never checked and never tested."""


def records(entries: Iterable[Entry]) -> Mapping[Channel, SensorRecord]:
    """The record of every channel that the journal names; voided entries do not count."""
    checks: dict[Channel, list[Check]] = {}
    tests: dict[Channel, list[tuple[float, float]]] = {}
    for entry in standing(entries):
        act = entry.act
        if not isinstance(act, SensorChecked | Testing):
            continue
        try:
            channel = Channel.named(act.channel)
        except CavewatchError:
            continue  # a channel that cannot exist has no readings either
        if isinstance(act, SensorChecked):
            checks.setdefault(channel, []).append(Check(entry.at, act))
            continue
        before = tests.setdefault(channel, [])
        if before:
            begin, end = before[-1]
            before[-1] = (begin, min(end, entry.at))
        before.append((entry.at, act.until))
    return {
        channel: SensorRecord(
            tuple(found := checks.get(channel, [])),
            _calibrations(found),
            tuple(tests.get(channel, ())),
        )
        for channel in checks | tests
    }


def _calibrations(checks: list[Check]) -> tuple[Calibration, ...]:
    found = []
    for number, last in enumerate(checks, start=1):
        near = (check.found for check in checks[:number] if check.at >= last.at - TOGETHER)
        newest = {point.against: point for point in near}
        points = sorted(newest.values(), key=lambda point: point.shown)
        found.append(Calibration(last.at, tuple(points)))
    return tuple(reversed(found))
