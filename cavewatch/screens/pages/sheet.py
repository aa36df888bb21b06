"""The page of a make sheet: all that is on record of one make, as a text to read."""

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.worker import Worker, WorkerState

from cavewatch.core.errors import CavewatchError
from cavewatch.core.record import MakeSheet
from cavewatch.core.text import clean
from cavewatch.screens.lines import Line, Part, Role, wrap
from cavewatch.screens.making.words import Sayer, sheet_lines
from cavewatch.screens.page import Page
from cavewatch.screens.scrolled import Scrolled
from cavewatch.screens.sheets import Target
from cavewatch.screens.targets import target_of_wheel
from cavewatch.screens.viewer import Viewer
from cavewatch.screens.where import Where
from cavewatch.units import Display

_LONGEST = 4000
"""Of an entry's text [characters]."""
_HANGING = 2
"""By how much the rest of a line stands further in [cells]."""


class SheetPage(Page):
    """The sheet of the make that a wheel is of, by the wheel's number."""

    where = Where.SHEET
    first: ClassVar[tuple[str, ...]] = ("escape", "left", "right", "M", "H")

    def __init__(self, viewer: Viewer, subject: str = "") -> None:
        super().__init__(viewer, subject)
        self._sheet: MakeSheet | None = None
        self._trouble = ""
        self._key: tuple[str, int, Display] | None = None
        self._busy = False

    def subjects(self) -> Sequence[str]:
        """A wheel of each make of which there still are any, by number."""
        first: dict[int, str] = {}
        for number, wheel in sorted(self.dairy.wheels.items()):
            if wheel.make not in first or str(number) == self.subject:
                first[wheel.make] = str(number)
        return list(first.values())

    def heading(self) -> str:
        """Whose make it is."""
        return f"make of wheel {self.subject}" if self.subject else "no wheel yet"

    @property
    def settled(self) -> bool:
        """Whether all that is asked for is shown."""
        return self.drawn and not self._busy

    def target(self) -> Target:
        """The wheel that it was opened for."""
        return target_of_wheel(self.dairy, int(self.subject or 0))

    def body(self) -> ComposeResult:
        """The sheet."""
        yield Scrolled(id="text")

    def draw(self) -> None:
        """Show it; where it is not drawn up yet, or something was entered, draw it up meanwhile."""
        self._draw_up()
        self._show()

    def _draw_up(self) -> None:
        entries, display = self.desk.entries(), self.desk.display
        key = self.subject, entries[-1].id if entries else 0, display
        if self._busy or key == self._key:
            return
        if self._key is None or self._key[0] != self.subject:
            self._sheet = None
        self._key, self._trouble = key, ""
        try:
            work = self.desk.make_sheet(int(self.subject or 0))
        except CavewatchError as fault:
            self._trouble = str(fault)
            return
        self._busy = True
        self.run_worker(work, name="sheet", thread=True, exit_on_error=False)

    @on(Worker.StateChanged)
    def _drawn_up(self, event: Worker.StateChanged) -> None:
        if event.worker.name != "sheet" or not event.worker.is_finished:
            return
        self._busy = False
        if event.state is WorkerState.SUCCESS:
            self._sheet = event.worker.result
        elif event.state is WorkerState.ERROR:
            self._sheet, self._trouble = None, str(event.worker.error)
        if self.drawn and not self.viewer.skipping:
            self._draw_up()
            self._show()

    def _show(self) -> None:
        text, desk = self.query_one("#text", Scrolled), self.desk
        if self._sheet is None:
            words = self._trouble or "drawing up the sheet ..."
            text.show(
                *((Part(each, Role.FAINT),) for each in wrap(clean(words, _LONGEST), self.cells))
            )
            return
        said = sheet_lines(self._sheet, Sayer(desk.zone, desk.display))
        text.show(*(line for words in said for line in laid_out(words, self.cells)))


def laid_out(words: str, width: int) -> list[Line]:
    """A line of a sheet in lines of the screen, its rest further in; titles stand out."""
    words = clean(words, _LONGEST)
    indent = len(words) - len(words.lstrip())
    role = Role.STRONG if words and not indent else Role.PLAIN
    first, *rest = wrap(words, width - indent - _HANGING) or [""]
    further = " " * (indent + _HANGING)
    return [(Part(" " * indent + first, role),), *((Part(further + t, role),) for t in rest)]
