"""The last step: the config is looked over and written."""

from textual.app import ComposeResult

from cavewatch.core.errors import CavewatchError
from cavewatch.screens.lines import Line, Part, Role, clean, wrap
from cavewatch.screens.scrolled import Scrolled
from cavewatch.screens.setup.answers import Answers
from cavewatch.screens.setup.step import Step


class ReviewStep(Step):
    """Shows the file that will be written."""

    title_words = "The config"
    explanation = "This will be written, and then the dashboard opens. Look it over."
    verb = "Write it"

    def body(self) -> ComposeResult:
        """The text."""
        yield Scrolled(id="text")

    def draw(self) -> None:
        """The path, and the text as far as it can be shown."""
        machine = self.setting_up.machine
        try:
            text = machine.config(self.answers)
        except CavewatchError as fault:
            self.say(str(fault))
            return
        lines: list[Line] = [
            *((Part(words, Role.STRONG),) for words in wrap(clean(machine.path), self.cells)),
            (),
        ]
        for line in text.splitlines():
            role = Role.FAINT if line.startswith("#") else Role.PLAIN
            lines += [(Part(words, role),) for words in wrap(clean(line), self.cells)] or [()]
        self.query_one(Scrolled).show(*lines)

    def answered(self) -> Answers:
        """Writes."""
        machine = self.setting_up.machine
        machine.write(machine.config(self.answers))
        return self.answers
