"""The page of the planner: a form that is answered while one types."""

from textual import on
from textual.app import ComposeResult
from textual.containers import Container, VerticalScroll
from textual.timer import Timer
from textual.worker import Worker, WorkerState

from cavewatch.core.dairy import Dairy
from cavewatch.core.errors import CavewatchError
from cavewatch.core.planner import Answer, Question
from cavewatch.screens.answer_lines import answer_lines, fault_lines, headline
from cavewatch.screens.field_rows import FieldRows
from cavewatch.screens.fields import EntryError
from cavewatch.screens.lines import Line, Part, Role, clean, cut
from cavewatch.screens.new_wheels import new_wheels
from cavewatch.screens.page import Page
from cavewatch.screens.painted import Lines
from cavewatch.screens.plan import NARROW, WIDE
from cavewatch.screens.planner_fields import planner_fields, put_in, question_of
from cavewatch.screens.scrolled import Scrolled
from cavewatch.screens.sheets import Target
from cavewatch.screens.viewer import Viewer
from cavewatch.screens.where import Where

PAUSE = 0.2
"""Who types faster than this is not answered in between [s]."""
_WORK = "plan"
_BESIDE, _BROAD = 38, 58
"""Cells of the form where the answer stands beside it, and where there is much room."""


class PlannerPage(Page):
    """What wheels will need; put in, they are entered as they were planned.

    One question is worked out at a time, in a thread; of those asked meanwhile only
    the last is.
    """

    where = Where.PLANNER
    first = ("escape", "ctrl+s")
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012 - declared by Textual
        (0, "-narrow"),
        (NARROW, "-wide"),
        (WIDE, "-broad"),
    ]

    def __init__(self, viewer: Viewer, subject: str = "") -> None:
        super().__init__(viewer, subject)
        self._question: Question | None = None
        self._answered: Question | None = None
        self._asking: Question | None = None
        self._answer: Answer | None = None
        self._fault = ""
        self._pause: Timer | None = None

    @classmethod
    def nearest(cls, dairy: Dairy, target: Target) -> str:
        """The tub under the cursor."""
        tubs = [view.place.name for view in dairy.places if view.life is not None]
        return target.place if target.place in tubs else ""

    def heading(self) -> str:
        """Its name."""
        return "planner"

    def body(self) -> ComposeResult:
        """The form, and beside or under it the answer."""
        with Container(id="sides"):
            with VerticalScroll(id="form", can_focus=False):
                yield FieldRows(planner_fields(self.desk, self.dairy, self.subject))
            with Container(id="answered"):
                yield Lines(id="state")
                yield Scrolled(id="answer")

    def draw(self) -> None:
        """Read the form anew, since units and brine may be others, and show the answer."""
        self._pause = None
        self._ask()
        self._show()

    @property
    def _rows(self) -> FieldRows:
        return self.query_one(FieldRows)

    @property
    def _cells(self) -> int:
        """Width of the answer."""
        width = self.app.size.width
        return self.cells - (0 if width < NARROW else _BESIDE if width < WIDE else _BROAD)

    @property
    def settled(self) -> bool:
        """Whether what stands in the form is read, and answered if it can be."""
        typing = self._pause is not None
        return not typing and self._asking is None and self._question in (None, self._answered)

    def put_in(self) -> None:
        """Enter the wheels as they are planned, after a look at the form for them."""
        checked = self._rows.check()
        if self._rows.focus_fault(checked):
            raise EntryError("something in the form cannot be; see the line marked with !")
        known = put_in(checked.values, self._rows.texts, self.desk.now())
        self.fill_in(new_wheels(self.desk, self.dairy, self.target(), known))

    @on(FieldRows.Changed)
    def _typed(self) -> None:
        if self._pause is not None:
            self._pause.stop()
        self._pause = self.set_timer(PAUSE, self.draw)

    def _ask(self) -> None:
        """Take up what the form asks, unless it is answered already or cannot be read."""
        checked = self._rows.check()
        self._question = None
        if not checked.faults:
            self._question = question_of(checked.values, self.desk, self.dairy)
        if self._question not in (None, self._answered) and self._asking is None:
            self._work()

    def _work(self) -> None:
        self._asking = self._question
        if self._asking is None or self.viewer.skipping:
            self._asking = None
            return
        try:
            work = self.desk.plan(self._asking)
        except CavewatchError as fault:
            self._take(None, str(fault))
        else:
            self.run_worker(work, name=_WORK, thread=True, exit_on_error=False)

    @on(Worker.StateChanged)
    def _over(self, event: Worker.StateChanged) -> None:
        worker = event.worker
        if worker.name != _WORK or not worker.is_finished:
            return
        if event.state is WorkerState.ERROR and not isinstance(worker.error, CavewatchError):
            raise RuntimeError("the planner failed") from worker.error
        failed = event.state is WorkerState.ERROR
        self._take(None if failed else worker.result, str(worker.error) if failed else "")

    def _take(self, answer: Answer | None, fault: str) -> None:
        """Keep what was worked out, and go on if something else was asked meanwhile."""
        self._answered, self._asking = self._asking, None
        self._answer, self._fault = answer, fault
        if self._question not in (None, self._answered):
            self._work()
        if self.drawn:
            self._show()

    def _show(self) -> None:
        self.query_one("#state", Lines).show(self._state())
        lines: list[Line] = []
        if self._fault:
            lines = fault_lines(self._fault, self._cells)
        elif self._answer is not None:
            desk = self.desk
            style = desk.styles[self._answer.question.style]
            lines = answer_lines(
                self._answer, style, desk.now(), desk.zone, desk.display, self._cells
            )
        self.query_one("#answer", Scrolled).show(*lines)

    def _state(self) -> Line:
        """Whether the answer is to what stands in the form."""
        if self._question is None:
            return (Part("not asked: see the field marked !", Role.CAUTION),)
        if self._question != self._answered:
            return (Part("being worked out …", Role.FAINT),)
        if self._answer is None:
            return (Part("it cannot be", Role.CAUTION),)
        desk = self.desk
        words = headline(self._answer, desk.now(), desk.zone, desk.display)
        return (Part(cut(clean(words), self._cells), Role.STRONG),)
