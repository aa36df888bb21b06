"""Turns the picture into the lines of the home screen, for a given size."""

from cavewatch import clock
from cavewatch.core.dairy import Dairy, PlaceView
from cavewatch.core.reading import Channel
from cavewatch.screens import frame
from cavewatch.screens.alarms import alarm_lines
from cavewatch.screens.chart import Values, bins_before
from cavewatch.screens.desk import Desk
from cavewatch.screens.groups import Group, group_lines, groups_of, when
from cavewatch.screens.lines import Item, Line, Part, Role, spread
from cavewatch.screens.places import place_heading, place_lines, trend_cells
from cavewatch.screens.plan import GUTTER, NARROW, SCROLL_BAR, TALL, Plan, plan
from cavewatch.screens.wording import MINUTE

DAY = 86400.0
_SPACING = 3
"""Blank lines of a tall screen."""


class Painter:
    """Lines of the home screen; it keeps what need not be made again."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.dairy: Dairy
        self.groups: tuple[Group, ...]
        self.plan: Plan
        self._width = 0
        self._trends: dict[Channel, Values] = {}
        self._fetched: dict[tuple[Channel, int], tuple[float, Values]] = {}
        self._kept: dict[str, tuple[object, tuple[Line, ...]]] = {}

    def look(self, width: int, height: int) -> None:
        """Take a new picture, for a screen of this size [cells]."""
        self.dairy = self.desk.picture()
        self.groups = groups_of(self.dairy)
        self._kept.clear()
        self._width = width - GUTTER - SCROLL_BAR
        taken = len(self.head()) + 1 + len(self.urgent()) + (self.desk.replay is not None)
        self.plan = plan(
            width,
            height - taken - (_SPACING if height >= TALL else 0),
            [len(view.channels) for view in self.dairy.places],
            len(self.groups),
            len(self.dairy.alarms),
        )
        if self.plan.full_places:
            self._trends = self.trends(self.dairy.places, trend_cells(self._width))

    def trends(self, views: tuple[PlaceView, ...], cells: int) -> dict[Channel, Values]:
        """The last 24 h of all channels of these places, in bins at fixed times.

        They are asked for once a minute.
        """
        return {
            item.channel: self._trend(item.channel, 2 * cells)
            for view in views
            for item in view.channels
        }

    def _trend(self, channel: Channel, bins: int) -> Values:
        minute = self.desk.now() // MINUTE
        fetched = self._fetched.get((channel, bins))
        if fetched is None or fetched[0] != minute:
            since, until = bins_before(self.desk.now(), DAY / bins, bins)
            fetched = minute, self.desk.trend(channel, since, until, bins)
            self._fetched[channel, bins] = fetched
        return fetched[1]

    def head(self) -> tuple[Line, ...]:
        """The first line or lines."""
        notice = self.desk.notice() or "; ".join(self.dairy.misfits)
        return frame.head_lines(
            self.desk.title, notice, self.desk.now(), self.desk.zone, self._width + SCROLL_BAR
        )

    def urgent(self) -> tuple[Line, ...]:
        """The most urgent thing."""
        desk = self.desk
        return frame.urgent_lines(self.dairy, desk.now(), desk.zone, desk.display, self._width)

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
