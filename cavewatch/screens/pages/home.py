"""The home page: the alarms, the places, the wheels in salt."""

from textual import on
from textual.app import ComposeResult
from textual.widget import Widget

from cavewatch.core.place import PlaceKind
from cavewatch.screens.page import Page
from cavewatch.screens.painted import ItemList, Lines
from cavewatch.screens.painter import Painter
from cavewatch.screens.sheets import Target
from cavewatch.screens.targets import target_of_group, target_of_place
from cavewatch.screens.viewer import Viewer
from cavewatch.screens.where import Where


class HomePage(Page):
    """What matters now, in three lists."""

    where = Where.HOME
    first = ("space", "plus", "minus", "x", "a", "t", "s", "l", "n", "b", "m")

    def __init__(self, viewer: Viewer, subject: str = "") -> None:
        super().__init__(viewer, subject)
        self.painter = Painter(viewer.desk)

    def body(self) -> ComposeResult:
        """From the most urgent down."""
        yield ItemList(id="alarms")
        yield Lines(id="places-head")
        yield ItemList(id="places")
        yield Lines(id="groups-head")
        yield ItemList(id="groups")

    def draw(self) -> None:
        """All lists, each in the form for which there is room."""
        painter = self.painter
        painter.look(self.dairy, self.cells, self.rows)
        self._list("alarms").styles.max_height = painter.plan.most_alarms
        self._list("alarms").show(painter.alarms())
        self._lines("places-head").show(*painter.places_heading())
        self._list("places").show(painter.places())
        self._lines("groups-head").show(*painter.groups_heading())
        self._list("groups").show(painter.group_items())

    def count_down(self) -> None:
        """The countdowns that show seconds."""
        self._list("groups").show(self.painter.group_items())

    def start(self) -> Widget:
        """The wheels in salt; without any, the places."""
        return self._list("groups" if self.painter.groups else "places")

    def target(self) -> Target:
        """The wheels under the cursor; in the list of places, all that are there."""
        key = self._list("groups").key
        group = next((g for g in self.painter.groups if g.key == key), None)
        if group is None or self._list("places").has_focus:
            return target_of_place(self.dairy, self._list("places").key or "")
        return target_of_group(self.dairy, group)

    def alarm_here(self) -> str | None:
        """The alarm under the cursor, while the cursor is among the alarms."""
        alarms = self._list("alarms")
        return alarms.key if alarms.has_focus else None

    @on(ItemList.Opened, "#alarms")
    def _open_alarm(self, event: ItemList.Opened) -> None:
        self.dashboard.open(Where.ALARMS, event.key)

    @on(ItemList.Opened, "#places")
    def _open_place(self, event: ItemList.Opened) -> None:
        kinds = {place.name: place.kind for place in self.desk.places}
        tub = kinds.get(event.key) is PlaceKind.TUB
        self.dashboard.open(Where.TUB if tub else Where.PLACE, event.key)

    @on(ItemList.Opened, "#groups")
    def _open_wheel(self, event: ItemList.Opened) -> None:
        group = next(g for g in self.painter.groups if g.key == event.key)
        self.dashboard.open(Where.WHEEL, str(group.numbers[0]))

    def _list(self, name: str) -> ItemList:
        return self.query_one(f"#{name}", ItemList)
