"""The screen on which a form is filled in."""

from collections.abc import Callable
from typing import ClassVar, TypeVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Input, Static

from cavewatch.core.errors import CavewatchError
from cavewatch.screens.field_rows import FieldRows
from cavewatch.screens.fields import Field, Values
from cavewatch.screens.lines import clean
from cavewatch.screens.plan import BY_WIDTH

Result = TypeVar("Result")


class Form(ModalScreen[Result | None]):
    """Fields with an echo beside each; it closes with the result once there is one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "cancel", "Cancel"),
        Binding("ctrl+s", "write", "Write it down"),
    ]
    HORIZONTAL_BREAKPOINTS = BY_WIDTH

    def __init__(
        self,
        title: str,
        fields: tuple[Field, ...],
        finish: Callable[[Values], Result],
        verb: str = "Write",
        begin: str = "",
    ) -> None:
        """Make it.

        Args:
            title: stands on top.
            fields: from the top down.
            finish: makes the result of all values, such as an entry that is then
                kept; raises CavewatchError if that cannot be.
            verb: what it does then.
            begin: the field that has the focus at first; otherwise the first that needs
                something.
        """
        super().__init__()
        self.heading = title
        self.fields = fields
        self._finish = finish
        self._verb = verb
        self._begin = begin

    def compose(self) -> ComposeResult:
        """A row for each field."""
        with VerticalScroll(classes="panel", can_focus=False):
            yield Static(clean(self.heading), classes="panel-title", markup=False)
            yield FieldRows(self.fields)
            yield Static(id="fault", markup=False)
            with Horizontal(id="buttons"):
                yield Button(f"{self._verb} (ctrl+s)", id="write", compact=True)
                yield Button("Cancel (esc)", id="cancel", compact=True)

    def on_mount(self) -> None:
        """Read the fields, and take the focus."""
        checked = self._rows.check()
        if self._begin:
            self.query_one(f"#{self._begin}").focus()
        elif not self._rows.focus_fault(checked):
            self.query_one("#write").focus()

    @property
    def _rows(self) -> FieldRows:
        return self.query_one(FieldRows)

    @on(Input.Submitted)
    @on(Button.Pressed, "#write")
    def action_write(self) -> None:
        """Finish if all fields can be read; an entry is kept when the form closes."""
        checked = self._rows.check()
        if self._rows.focus_fault(checked):
            return
        try:
            result = self._finish(checked.values)
        except CavewatchError as fault:
            message = self.query_one("#fault", Static)
            message.update(clean(f"Not written: {fault}"))
            message.scroll_visible(animate=False)
            return
        self.dismiss(result)

    @on(Button.Pressed, "#cancel")
    def action_cancel(self) -> None:
        """Close without writing."""
        self.dismiss(None)
