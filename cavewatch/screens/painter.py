"""Turns the picture into the lines of the home page, for a given size."""

from cavewatch import clock
from cavewatch.core.dairy import Dairy
from cavewatch.core.reading import Channel
from cavewatch.core.series import Values
from cavewatch.screens.alarms import alarm_lines
from cavewatch.screens.desk import Desk
from cavewatch.screens.groups import Group, group_lines, groups_of, when
from cavewatch.screens.lines import Item, Line, Part, Role, spread
from cavewatch.screens.places import place_heading, place_lines, trend_cells
from cavewatch.screens.plan import NARROW, Plan, plan
from cavewatch.screens.trends import Trends


class Painter:
    """Lines of the home page; it keeps what need not be made again."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.dairy: Dairy
        self.groups: tuple[Group, ...]
        self.plan: Plan
        self._width = 0
        self._trends: dict[Channel, Values] = {}
        self._asked = Trends(desk)
        self._kept: dict[str, tuple[object, tuple[Line, ...]]] = {}

    def look(self, dairy: Dairy, cells: int, rows: int) -> None:
        """Take a new picture, for so many rows of so many cells."""
        self.dairy = dairy
        self.groups = groups_of(dairy)
        self._kept.clear()
        self._width = cells
        counts = [len(view.channels) for view in dairy.places]
        self.plan = plan(cells, rows, counts, len(self.groups), len(dairy.alarms))
        if self.plan.full_places:
            self._trends = self._asked.of(dairy.places, trend_cells(cells))

    def alarms(self) -> list[Item]:
        """A line or two for each alarm."""
        now, zone, rows = self.desk.now(), self.desk.zone, self.plan.alarm_rows
        return [
            Item(alarm.key, alarm_lines(alarm, now, zone, self._width, rows))
            for alarm in self.dairy.alarms
        ]

    def places_heading(self) -> tuple[Line, ...]:
        """What stands over the places; nothing on narrow screens."""
        if self._width < NARROW:
            return ()
        return (place_heading(self._width, self.plan.full_places),)

    def places(self) -> list[Item]:
        """Each place."""
        display, full = self.desk.display, self.plan.full_places
        return [
            Item(view.place.name, place_lines(view, display, self._trends, self._width, full))
            for view in self.dairy.places
        ]

    def groups_heading(self) -> tuple[Line, ...]:
        """What stands over the wheels in salt; nothing where that row is needed."""
        if not self.plan.groups_heading:
            return ()
        count = sum(len(group.numbers) for group in self.groups)
        words = f"{count} wheel{'' if count == 1 else 's'}" if count else "none"
        return (spread((Part("in salt", Role.FAINT),), (Part(words, Role.FAINT),), self._width),)

    def group_items(self) -> list[Item]:
        """Each group of wheels in salt, made anew only where its countdown reads otherwise."""
        desk = self.desk
        now, day = desk.now(), clock.local(desk.now(), desk.zone).date()
        items = []
        for group in self.groups:
            stamp = (when(group, now), day)
            kept = self._kept.get(group.key)
            if kept is None or kept[0] != stamp:
                lines = group_lines(
                    group, now, desk.zone, desk.display, self._width, self.plan.group_rows
                )
                kept = self._kept[group.key] = (stamp, lines)
            items.append(Item(group.key, kept[1]))
        return items
