"""The screen on which a form is filled in."""

from typing import ClassVar, Protocol

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Input, Select, Static

from cavewatch import clock
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Act, Entry
from cavewatch.screens.fields import Checked, Field, check
from cavewatch.screens.lines import clean
from cavewatch.screens.plan import BY_WIDTH
from cavewatch.screens.sheets import Sheet


class Append(Protocol):
    """Writes an entry as `Desk.append` does; raises CavewatchError."""

    def __call__(self, act: Act, at: float, by: str, *, typed: bool) -> Entry:
        """Return once it is kept."""


class Form(ModalScreen[Entry | None]):
    """Fields with an echo beside each; it closes with the entry once that is written."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "cancel", "Cancel"),
        Binding("ctrl+s", "write", "Write it down"),
    ]
    HORIZONTAL_BREAKPOINTS = BY_WIDTH

    def __init__(self, sheet: Sheet, append: Append) -> None:
        super().__init__()
        self.sheet = sheet
        self._append = append

    def compose(self) -> ComposeResult:
        """A row for each field."""
        with VerticalScroll(classes="panel", can_focus=False):
            yield Static(clean(self.sheet.title), classes="panel-title", markup=False)
            for field in self.sheet.fields:
                with Horizontal(classes="row"):
                    yield Static(field.label, classes="label", markup=False)
                    yield _control(field)
                    yield Static(classes="echo", id=f"echo-{field.name}", markup=False)
            yield Static(id="fault", markup=False)
            with Horizontal(id="buttons"):
                yield Button("Write (ctrl+s)", id="write", compact=True)
                yield Button("Cancel (esc)", id="cancel", compact=True)

    def on_mount(self) -> None:
        """Start at the first field that needs something."""
        checked = self._check()
        for field in self.sheet.fields:
            if field.name in checked.faults:
                self.query_one(f"#{field.name}").focus()
                return
        self.query_one("#write").focus()

    @on(Input.Changed)
    @on(Select.Changed)
    def _check(self) -> Checked:
        """Read all fields again and show what they say."""
        texts = self._texts()
        checked = check(self.sheet.fields, texts)
        for field in self.sheet.fields:
            echo = self.query_one(f"#echo-{field.name}", Static)
            fault = checked.faults.get(field.name, "")
            words = clean(fault or checked.echoes.get(field.name, ""))
            echo.set_class(bool(fault and texts[field.name].strip()), "-fault")
            echo.set_class(not words, "-empty")
            echo.update(words)
        return checked

    def _texts(self) -> dict[str, str]:
        """What stands in the fields."""
        texts = {}
        for field in self.sheet.fields:
            control = self.query_one(f"#{field.name}", Input | Select)  # type: ignore[arg-type]
            texts[field.name] = str(control.value)
        return texts

    @on(Input.Submitted)
    @on(Button.Pressed, "#write")
    def action_write(self) -> None:
        """Write the entry if all fields can be read; say so only once it is written."""
        checked = self._check()
        for field in self.sheet.fields:
            if field.name in checked.faults:
                self.query_one(f"#{field.name}").focus()
                return
        values = checked.values
        typed = not clock.is_relative(self._texts()["when"])
        try:
            entry = self._append(
                self.sheet.build(values), values["when"], values["by"], typed=typed
            )
        except CavewatchError as fault:
            message = self.query_one("#fault", Static)
            message.update(clean(f"Not written: {fault}"))
            message.scroll_visible(animate=False)
            return
        self.dismiss(entry)

    @on(Button.Pressed, "#cancel")
    def action_cancel(self) -> None:
        """Close without writing."""
        self.dismiss(None)


def _control(field: Field) -> Input | Select[str]:
    if field.choices:
        return Select(
            [(Text(clean(label)), text) for label, text in field.choices],
            value=field.initial,
            allow_blank=False,
            compact=True,
            id=field.name,
        )
    return Input(clean(field.initial), placeholder=field.hint, compact=True, id=field.name)
