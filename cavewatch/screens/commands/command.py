"""What a command is."""

from abc import ABC, abstractmethod
from typing import TYPE_CHECKING

from cavewatch.screens.where import EVERYWHERE, Where

if TYPE_CHECKING:
    from cavewatch.screens.page import Page


class Command(ABC):
    """Something that a maker can tell the dashboard to do.

    Bindings, footer, palette, the page of keys and the README's table are made
    from its attributes.
    """

    key: str
    """As Textual names it."""
    shown: str
    """As people read it."""
    label: str
    """A word or two for the footer."""
    help: str
    """A sentence without full stop."""
    pages: frozenset[Where] = EVERYWHERE
    """Where it can be given."""
    replay: bool = False
    """True for a command that only a replay has."""

    @abstractmethod
    def run(self, page: "Page") -> None:
        """Do it; a CavewatchError is shown to the maker."""
