"""The frame of every step of the set-up: what it is about, its body, buttons that lead on."""

from abc import abstractmethod
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import Button

from cavewatch.core.errors import CavewatchError
from cavewatch.screens.lines import Part, Role, clean, spread, wrap
from cavewatch.screens.painted import Lines
from cavewatch.screens.plan import BY_HEIGHT, BY_WIDTH, GUTTER, SCROLL_BAR
from cavewatch.screens.setup.answers import Answers

if TYPE_CHECKING:
    from cavewatch.screens.setup.app import SetUpApp


class Step(Screen[None]):
    """One thing that is asked. A step fills in the first part."""

    title_words: ClassVar[str]
    explanation: ClassVar[str]
    verb: ClassVar[str] = "Next"
    """What leads on."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back", show=False),
        Binding("ctrl+s", "next", show=False),
    ]
    HORIZONTAL_BREAKPOINTS = BY_WIDTH
    VERTICAL_BREAKPOINTS = BY_HEIGHT
    AUTO_FOCUS = ""

    @abstractmethod
    def body(self) -> ComposeResult:
        """The widgets between explanation and buttons."""

    @abstractmethod
    def answered(self) -> Answers:
        """The answers with those of this step.

        Raises:
            CavewatchError: saying what is still to be answered.
        """

    def draw(self) -> None:
        """Show everything anew."""

    @property
    def setting_up(self) -> "SetUpApp":
        """The application."""
        return cast("SetUpApp", self.app)

    @property
    def answers(self) -> Answers:
        """What was told so far."""
        return self.setting_up.answers

    @property
    def cells(self) -> int:
        """Width of a line [cells]."""
        return self.app.size.width - GUTTER - SCROLL_BAR

    def compose(self) -> ComposeResult:
        """From the top down."""
        yield Lines(id="head")
        yield Lines(id="told")
        yield from self.body()
        yield Lines(id="fault")
        with Horizontal(id="buttons"):
            yield Button(f"{self.verb} (ctrl+s)", id="next", compact=True)
            yield Button(f"{self._back_words} (esc)", id="back", compact=True)

    @property
    def _back_words(self) -> str:
        return "Leave" if self.setting_up.is_first(self) else "Back"

    def on_mount(self) -> None:
        """Draw, and take the focus."""
        self._frame()
        self.draw()
        first = next(iter(self.focus_chain), None)
        if first is not None:
            first.focus()

    def on_resize(self) -> None:
        """Break the lines anew."""
        self._frame()
        self.draw()

    def on_screen_resume(self) -> None:
        """A form was closed, or it was come back to."""
        self.draw()

    def _frame(self) -> None:
        number, most = self.setting_up.place_of(self)
        left = Part("Cavewatch, first start  ", Role.FAINT), Part(self.title_words, Role.STRONG)
        head = spread(left, (Part(f"{number} of {most}", Role.FAINT),), self.cells)
        self.query_one("#head", Lines).show(head)
        told = wrap(self.explanation, self.cells)
        self.query_one("#told", Lines).show(*((Part(text, Role.FAINT),) for text in told))

    def say(self, words: str) -> None:
        """Say what is wrong; empty for nothing."""
        lines = wrap(clean(words), self.cells)
        self.query_one("#fault", Lines).show(*((Part(text, Role.ALERT),) for text in lines))

    @on(Button.Pressed, "#next")
    def action_next(self) -> None:
        """Take the answers and go on."""
        try:
            answers = self.answered()
        except CavewatchError as fault:
            self.say(str(fault))
            return
        self.say("")
        self.setting_up.go_on(answers)

    @on(Button.Pressed, "#back")
    def action_back(self) -> None:
        """Go to the step before; from the first one, leave."""
        self.setting_up.go_back()
