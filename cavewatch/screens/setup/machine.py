"""What the set-up needs of the machine."""

from collections.abc import Sequence
from typing import Protocol

from cavewatch.core.style import StyleBook
from cavewatch.screens.setup.answers import Answers, PortHeard


class Machine(Protocol):
    """The machine that the dairy is set up on; called on the event loop."""

    @property
    def path(self) -> str:
        """Where the config will be."""

    @property
    def zone(self) -> str:
        """The machine's own time zone."""

    @property
    def styles(self) -> StyleBook:
        """The style book."""

    def heard(self) -> Sequence[PortHeard]:
        """The serial ports, and what came from each so far; the first call begins to listen."""

    def release(self) -> None:
        """Listen no more, and let the ports go."""

    def config(self, answers: Answers) -> str:
        """The text of the config.

        Raises:
            CavewatchError: if something in it does not fit.
        """

    def write(self, text: str) -> None:
        """Write the config where none is.

        Raises:
            CavewatchError: if it cannot be written, or if there is one by now.
        """
