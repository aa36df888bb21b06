"""How the rows of the home screen are shared out, so that what matters fits without scrolling."""

from collections.abc import Sequence
from dataclasses import dataclass

NARROW, WIDE = 60, 110
"""Below and from these widths the layout changes [cells]."""
TALL = 32
"""From this height there are blank lines between the parts of the screen [cells]."""
BY_WIDTH: list[tuple[int, str]] | None = [(0, "-narrow"), (NARROW, "-wide")]
BY_HEIGHT: list[tuple[int, str]] | None = [(0, "-short"), (TALL, "-tall")]
"""Classes of a screen by its size, for the stylesheet."""
GUTTER = 2
"""Cells on the left of every list, in which the cursor stands."""
SCROLL_BAR = 1
"""Cells on the right of every list, in which the scroll bar stands when there is one."""


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
    groups_heading: bool
    """Whether there is room for a line over the groups."""


def plan(width: int, height: int, channels: Sequence[int], groups: int, alarms: int) -> Plan:
    """Share out the rows of a screen.

    Args:
        width: of a line [cells].
        height: left for alarms, places and groups with their headings [cells].
        channels: number of channels of each place.
        groups: number of groups of wheels.
        alarms: number of alarms.
    """
    narrow = width < NARROW
    alarm_rows = 2 if narrow else 1
    most_alarms = max(2, height // 4 // alarm_rows) * alarm_rows
    room = height - min(alarms * alarm_rows, most_alarms) - (0 if narrow else 1)
    short, full = len(channels), sum(1 + count for count in channels)
    forms = [(True, 2, True), (False, 2, True), (False, 2, False), (False, 1, True)]
    for full_places, group_rows, heading in forms[1:] if narrow else forms:
        if (full if full_places else short) + group_rows * groups + heading <= room:
            return Plan(full_places, group_rows, alarm_rows, most_alarms, heading)
    return Plan(False, 1, alarm_rows, most_alarms, False)
