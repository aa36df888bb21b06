"""The application that leads through the set-up."""

from cavewatch.screens.setup.answers import Answers
from cavewatch.screens.setup.dairy import DairyStep
from cavewatch.screens.setup.machine import Machine
from cavewatch.screens.setup.places import PlacesStep
from cavewatch.screens.setup.ports import PortsStep
from cavewatch.screens.setup.review import ReviewStep
from cavewatch.screens.setup.step import Step
from cavewatch.screens.setup.styles import StylesStep
from cavewatch.screens.terminal_app import TerminalApp

STEPS: tuple[type[Step], ...] = (DairyStep, StylesStep, PlacesStep, PortsStep, ReviewStep)


class SetUpApp(TerminalApp[bool]):
    """A stack of steps; it ends with True once a config is written, and else leaves nothing."""

    def __init__(self, machine: Machine, ascii_only: bool | None = None) -> None:
        """Make it.

        Args:
            machine: that the dairy is set up on.
            ascii_only: whether to keep to ASCII; None to find out from the terminal.
        """
        super().__init__(ascii_only)
        self.machine = machine
        self.answers = Answers(zone=machine.zone)
        self.title = "Cavewatch"

    def get_default_screen(self) -> Step:
        """The first step."""
        return STEPS[0]()

    def place_of(self, step: Step) -> tuple[int, int]:
        """The step's number, and how many there are."""
        return STEPS.index(type(step)) + 1, len(STEPS)

    def is_first(self, step: Step) -> bool:
        """Whether there is no step before it."""
        return isinstance(step, STEPS[0])

    def go_on(self, answers: Answers) -> None:
        """Keep the answers; open the next step, or end after the last."""
        self.answers = answers
        number = len(self.screen_stack)
        if number < len(STEPS):
            self.push_screen(STEPS[number]())
        else:
            self.exit(True)

    def go_back(self) -> None:
        """Open the step before; leave at the first."""
        if len(self.screen_stack) > 1:
            self.pop_screen()
        else:
            self.exit(False)
