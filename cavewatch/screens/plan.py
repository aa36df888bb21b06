"""How the rows of the home screen are shared out, so that what matters fits without scrolling."""

from collections.abc import Sequence
from dataclasses import dataclass

NARROW, WIDE = 60, 110
"""Below and from these widths the layout changes [cells]."""


@dataclass(frozen=True, slots=True)
class Plan:
    """Which form each list takes."""

    full_places: bool
    """A line per channel with its trend, rather than a line per place."""
    group_rows: int
    """Lines of a group of wheels: 1 or 2."""
    alarm_rows: int
    """Lines of an alarm: 1 or 2."""
    most_alarms: int
    """Lines that the alarms may take before they scroll."""


def plan(width: int, height: int, channels: Sequence[int], groups: int, alarms: int) -> Plan:
    """Share out the rows of a screen.

    Args:
        width: of the screen [cells].
        height: left for alarms, places and groups with their two headings [cells].
        channels: number of channels of each place.
        groups: number of groups of wheels.
        alarms: number of alarms.
    """
    alarm_rows = 2 if width < NARROW else 1
    most_alarms = max(2, height // 4)
    room = height - 2 - min(alarms * alarm_rows, most_alarms)
    short = len(channels)
    full = sum(1 + count for count in channels)
    choices = [(True, 2), (False, 2), (False, 1)]
    for full_places, rows in choices:
        if full_places and width < NARROW:
            continue
        if (full if full_places else short) + rows * groups <= room:
            return Plan(full_places, rows, alarm_rows, most_alarms)
    return Plan(False, 1, alarm_rows, most_alarms)
