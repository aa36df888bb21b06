"""When the checks of the sensors fall due."""

from collections.abc import Mapping
from dataclasses import dataclass

from cavewatch.core.reading import Channel
from cavewatch.core.signal.record import KEEPS, SensorRecord


@dataclass(frozen=True, slots=True)
class CheckDue:
    """The next check of one sensor."""

    channel: Channel
    at: float | None
    """When it falls due, perhaps in the past [s since 1970 UTC]; None for a sensor that was
    never checked: it is not late, but nobody knows whether it reads true."""


def checks_due(known: Mapping[Channel, SensorRecord], at: float) -> tuple[CheckDue, ...]:
    """The next check of every sensor, soonest first, those that were never checked last.

    Args:
        known: what was done with the sensor of each channel.
        at: now [s since 1970 UTC].
    """
    found = []
    for channel, record in known.items():
        last = record.calibration(at)
        due = None if last is None else last.at + KEEPS[channel.quantity]
        found.append(CheckDue(channel, due))
    return tuple(sorted(found, key=lambda due: (due.at is None, due.at or 0.0, str(due.channel))))
