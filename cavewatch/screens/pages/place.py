"""The page of a place: its curves, who is in it and whose range counts."""

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult

from cavewatch.core.dairy import Dairy, PlaceView
from cavewatch.core.place import PlaceKind
from cavewatch.core.series import Bins
from cavewatch.screens.details import GONE
from cavewatch.screens.lines import Item
from cavewatch.screens.looking import Looking, bins_of, column_at, curve_at, earlier, span_at
from cavewatch.screens.page import Page
from cavewatch.screens.painted import ItemList, Lines
from cavewatch.screens.place_curves import Shown, curve_lines, curve_names
from cavewatch.screens.place_facts import makes, place_facts
from cavewatch.screens.place_past import Pasts
from cavewatch.screens.sheets import Target
from cavewatch.screens.targets import target_of_place, target_of_wheel
from cavewatch.screens.viewer import Viewer
from cavewatch.screens.where import Where

_FEWEST_FACTS = 3
"""Rows that are kept for who is there."""


class PlacePage(Page):
    """One place that is no tub."""

    where = Where.PLACE
    first: ClassVar[tuple[str, ...]] = ("escape", "left", "right", "p", "comma", "y", "c", "m")
    tubs = False
    share: ClassVar[float] = 0.25
    """Part of the rows that is kept for the facts, where there are as many."""

    def __init__(self, viewer: Viewer, subject: str = "") -> None:
        super().__init__(viewer, subject)
        self.looking = Looking()
        self._pasts = Pasts(viewer.desk)

    @classmethod
    def _names(cls, dairy: Dairy) -> list[str]:
        return [
            view.place.name
            for view in dairy.places
            if (view.place.kind is PlaceKind.TUB) == cls.tubs
        ]

    @classmethod
    def nearest(cls, dairy: Dairy, target: Target) -> str:
        """The place under the cursor, or the first."""
        names = cls._names(dairy)
        return target.place if target.place in names else (names or [""])[0]

    def subjects(self) -> Sequence[str]:
        """All of their kind, in the order of the config."""
        return self._names(self.dairy)

    def target(self) -> Target:
        """The make under the cursor, or all wheels that are there."""
        key, view = self.query_one("#list", ItemList).key or "", self.view
        for wheels in () if view is None else makes(view, self.dairy):
            if key == str(wheels[0].id):
                found = target_of_wheel(self.dairy, wheels[0].id)
                return replace(found, chosen=tuple(wheel.id for wheel in wheels))
        return target_of_place(self.dairy, self.subject)

    def body(self) -> ComposeResult:
        """Curves over a list."""
        yield Lines(id="curves")
        yield ItemList(id="list")

    @property
    def view(self) -> PlaceView | None:
        """The place; None if there is none of that name."""
        return next((v for v in self.dairy.places if v.place.name == self.subject), None)

    @property
    def bins(self) -> Bins:
        """The stretches of time that the curves are made of."""
        return bins_of(self.looking, self.desk.now(), self.cells)

    def draw(self) -> None:
        """The curves as large as there is room for, and who is there."""
        view, desk = self.view, self.desk
        curves, facts = self.query_one("#curves", Lines), self.query_one("#list", ItemList)
        if view is None:
            curves.show(*GONE)
            facts.show(())
            return
        now = desk.now()
        items = self.facts(view)
        kept = max(_FEWEST_FACTS, int(self.rows * self.share))
        least = min(sum(len(item.lines) for item in items), kept)
        past = self._pasts.of(view, self.dairy, self.bins)
        curves.show(
            *curve_lines(
                view,
                past,
                self.looking,
                now,
                desk.zone,
                desk.display,
                self.cells,
                self.rows - least,
                self.dashboard.ascii_only,
                self.above(view),
            )
        )
        facts.show(items)

    def facts(self, view: PlaceView) -> list[Item]:
        """What stands under the curves."""
        return place_facts(view, self.dairy, self.desk.zone, self.desk.display, self.cells)

    def above(self, view: PlaceView) -> Sequence[Shown]:  # noqa: ARG002
        """Curves over those of what is measured."""
        return ()

    # What the curves show

    def step_span(self, by: int) -> None:
        """Show more time, or less; the cursor stays where it is."""
        self._look(replace(self.looking, span=self.looking.span.stepped(by)))

    def step_cursor(self, columns: int) -> None:
        """Point at an earlier or later moment."""
        self._look(earlier(self.looking, -columns, self.desk.now(), self.cells))

    def step_curve(self) -> None:
        """Show the next curve alone; after the last, all."""
        if self.view is not None:
            count = len(self.above(self.view)) + len(curve_names(self.view))
            self._look(replace(self.looking, only=self._next_curve(count)))

    def _next_curve(self, count: int) -> int | None:
        after = 0 if self.looking.only is None else self.looking.only + 1
        return after if after < count else None

    def _look(self, looking: Looking) -> None:
        self.looking = looking
        self.draw()

    @on(events.Click, "#curves")
    def _curves_clicked(self, event: events.Click) -> None:
        """Choose the span that was clicked, or point at the moment."""
        offset = event.get_content_offset(self.query_one("#curves", Lines))
        if offset is None or self.viewer.skipping:
            return
        now = self.desk.now()
        if offset.y == 0:
            span = span_at(self.looking, offset.x, self.cells)
            if span is not None:
                self._look(replace(self.looking, span=span))
        else:
            self._look(curve_at(self.looking, column_at(offset.x), now, self.cells))

    @on(ItemList.Opened, "#list")
    def _open(self, event: ItemList.Opened) -> None:
        if event.key.isdecimal():
            self.dashboard.open(Where.WHEEL, event.key)
