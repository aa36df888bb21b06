"""The first step: whose dairy it is."""

from dataclasses import replace

from textual import on
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Input

from cavewatch import clock
from cavewatch.config import values
from cavewatch.screens.field_rows import FieldRows
from cavewatch.screens.fields import EntryError, Field, Values, filled
from cavewatch.screens.setup.answers import Answers
from cavewatch.screens.setup.step import Step
from cavewatch.units import System

_NAME, _INITIALS = values.text(40), values.text(8)


def dairy_fields(answers: Answers) -> tuple[Field, ...]:
    """Name, units, zone, initials; what was answered before stands in them."""

    def zone(text: str, _: Values) -> str:
        return str(values.zone(filled(text).strip()))

    def time_there(name: str, _: Values) -> str:
        return f"it is {clock.local(clock.now(), clock.zone(name)):%a %d %b %H:%M} there"

    return (
        Field(
            "name",
            "name",
            lambda text, _: _NAME(filled(text).strip()),
            lambda name, _: str(name),
            answers.name,
            hint="of your dairy",
        ),
        Field(
            "units",
            "units",
            lambda text, _: System(text),
            lambda _, __: "",
            answers.units.value,
            (
                ("metric: °C, kg, L", System.METRIC.value),
                ("US: °F, lb, gal", System.US.value),
            ),
        ),
        Field("zone", "time zone", zone, time_there, answers.zone, hint="Europe/Dublin"),
        Field(
            "initials",
            "initials",
            lambda text, _: _INITIALS(text.strip()) if text.strip() else "",
            lambda text, _: "put under what you enter" if text else "",
            answers.initials,
            hint="may stay empty",
        ),
    )


class DairyStep(Step):
    """Asks for the dairy as such."""

    title_words = "Your dairy"
    explanation = (
        "There is no config yet. A few questions make one; each answer can be changed later in "
        "its file. Nothing is written before the last step."
    )

    def body(self) -> ComposeResult:
        """A form."""
        with VerticalScroll(id="form", can_focus=False):
            yield FieldRows(dairy_fields(self.answers))

    def draw(self) -> None:
        """Read the fields."""
        self.query_one(FieldRows).check()

    def answered(self) -> Answers:
        """The four fields."""
        rows = self.query_one(FieldRows)
        checked = rows.check()
        if rows.focus_fault(checked):
            name, fault = next(iter(checked.faults.items()))
            raise EntryError(f"{name}: {fault}")
        v = checked.values
        return replace(
            self.answers,
            name=v["name"],
            units=v["units"],
            zone=v["zone"],
            initials=v["initials"],
        )

    @on(Input.Submitted)
    def _submitted(self) -> None:
        self.action_next()
