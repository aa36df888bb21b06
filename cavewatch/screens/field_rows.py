"""The widget of a form's fields: a row for each, with what was understood or what is wrong."""

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalGroup
from textual.events import DescendantFocus
from textual.message import Message
from textual.widgets import Input, Select, Static

from cavewatch.screens.fields import Checked, Field, check
from cavewatch.screens.lines import clean


class FieldRows(VerticalGroup):
    """Fields from the top down, read anew at each change."""

    class Changed(Message):
        """Something was typed or chosen."""

        def __init__(self, checked: Checked) -> None:
            super().__init__()
            self.checked = checked
            """All fields as they stand."""

    def __init__(self, fields: tuple[Field, ...]) -> None:
        super().__init__()
        self.fields = fields

    def compose(self) -> ComposeResult:
        """A row for each field."""
        for field in self.fields:
            with Horizontal(classes="row"):
                yield Static(field.label, classes="label", markup=False)
                yield _control(field)
                yield Static(classes="echo", id=f"echo-{field.name}", markup=False)

    def check(self) -> Checked:
        """Read all fields again and show what they say."""
        texts = self.texts
        checked = check(self.fields, texts)
        for field in self.fields:
            echo = self.query_one(f"#echo-{field.name}", Static)
            fault = checked.faults.get(field.name, "")
            typed = bool(texts[field.name].strip())
            words = clean(fault or checked.echoes.get(field.name, ""))
            if typed and words and (fault or not field.choices):
                words = f"{'!' if fault else '='} {words}"
            echo.set_class(bool(fault) and typed, "-fault")
            echo.set_class(not words, "-empty")
            echo.update(words)
        return checked

    @property
    def texts(self) -> dict[str, str]:
        """What stands in the fields."""
        return {field.name: str(self._control(field.name).value) for field in self.fields}

    def focus_fault(self, checked: Checked) -> bool:
        """Go to the first field that is wrong; False if none is."""
        for field in self.fields:
            if field.name in checked.faults:
                self._control(field.name).focus()
                return True
        return False

    def _control(self, name: str) -> Input | Select[str]:
        return self.query_one(f"#{name}", Input | Select)  # type: ignore[arg-type]

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """Mark the row that is being filled in."""
        for field in self.fields:
            echo = self.query_one(f"#echo-{field.name}", Static)
            echo.set_class(event.widget.id == field.name, "-here")

    @on(Input.Changed)
    @on(Select.Changed)
    def _changed(self, event: Message) -> None:
        event.stop()
        self.post_message(self.Changed(self.check()))


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
