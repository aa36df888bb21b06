"""The page of a tub: its strength over time, what to do to its brine, the wheels in it."""

from collections.abc import Sequence
from typing import ClassVar

from textual import on

from cavewatch.core.dairy import PlaceView
from cavewatch.screens.brine_test import brine_test
from cavewatch.screens.brine_work import brine_work
from cavewatch.screens.curves.spans import Span
from cavewatch.screens.lines import Item
from cavewatch.screens.looking import Looking
from cavewatch.screens.pages.place import PlacePage
from cavewatch.screens.painted import ItemList
from cavewatch.screens.place_curves import Shown
from cavewatch.screens.tub_facts import RESTORE, TESTS, tub_facts
from cavewatch.screens.tub_past import Strengths, strength_shown
from cavewatch.screens.viewer import Viewer
from cavewatch.screens.where import Where


class TubPage(PlacePage):
    """One tub of brine."""

    where = Where.TUB
    first = ("escape", "left", "right", "b", "B", "p", "comma", "t", "s", "l")
    tubs = True
    share: ClassVar[float] = 0.5

    def __init__(self, viewer: Viewer, subject: str = "") -> None:
        super().__init__(viewer, subject)
        self.looking = Looking(Span.MONTH)
        self._strengths = Strengths(viewer.desk)

    def facts(self, view: PlaceView) -> list[Item]:
        """What is to be done to it, who is in it, what is known of it."""
        return tub_facts(view, self.dairy, self.desk.zone, self.desk.display, self.cells)

    def above(self, view: PlaceView) -> Sequence[Shown]:
        """Its strength, over its temperature."""
        if view.life is None:
            return ()
        past = self._strengths.of(view, self.dairy, self.bins)
        display, cursor = self.desk.display, self.looking.cursor
        return (strength_shown(view, self.dairy, self.bins, past, cursor, display, self.cells),)

    @on(ItemList.Opened, "#list")
    def _open_brine(self, event: ItemList.Opened) -> None:
        """Enter what was done to the brine, or found in it."""
        if event.key == RESTORE:
            self.fill_in(brine_work(self.desk, self.dairy, self.target()))
        elif event.key == TESTS:
            self.fill_in(brine_test(self.desk, self.dairy, self.target()))
