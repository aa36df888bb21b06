"""The second step: what will be made."""

from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from cavewatch.screens.lines import Item, Part, Role, clean, fit, pad
from cavewatch.screens.painted import ItemList
from cavewatch.screens.setup.answers import Answers
from cavewatch.screens.setup.step import Step


class StylesStep(Step):
    """A list of all styles, in which some are marked."""

    title_words = "What you make"
    explanation = (
        "Mark the styles that you make: they come first where wheels are entered. The others stay "
        "at hand. Enter, space or a click marks."
    )
    BINDINGS: ClassVar[list[BindingType]] = [Binding("space", "mark", show=False)]

    def body(self) -> ComposeResult:
        """The list."""
        yield ItemList(id="list")

    def draw(self) -> None:
        """Each style with its mark."""
        made = self.answers.styles
        book = self.setting_up.machine.styles
        items = []
        for style in sorted(book.values(), key=lambda style: (style.family, style.name)):
            here = style.id in made
            line = (
                Part("[x] " if here else "[ ] ", Role.STRONG if here else Role.FAINT),
                Part(pad(clean(style.name), 20), Role.STRONG if here else Role.PLAIN),
                Part(" " + clean(style.family), Role.FAINT),
            )
            items.append(Item(style.id, (fit(line, self.cells),)))
        self.query_one(ItemList).show(items)

    def answered(self) -> Answers:
        """As they are marked."""
        return self.answers

    @on(ItemList.Opened)
    def _chosen(self, event: ItemList.Opened) -> None:
        made = self.answers.styles
        without = tuple(style for style in made if style != event.key)
        self.setting_up.answers = replace(
            self.answers, styles=without if event.key in made else (*made, event.key)
        )
        self.draw()

    def action_mark(self) -> None:
        """Mark what is under the cursor, or take the mark away."""
        self.query_one(ItemList).action_open()
