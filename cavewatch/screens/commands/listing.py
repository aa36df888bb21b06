"""Commands of the lists of alarms, of what is due and of entries."""

from typing import TYPE_CHECKING, cast

from cavewatch.screens.commands.command import Command
from cavewatch.screens.where import Where

if TYPE_CHECKING:
    from cavewatch.screens.page import Page
    from cavewatch.screens.pages.alarms import AlarmsPage
    from cavewatch.screens.pages.due import DuePage
    from cavewatch.screens.pages.journal import JournalPage


class Done(Command):
    """Work that was done."""

    key, shown, label = "y", "y", "done"
    help = "Enter that the work under the cursor, or all that is picked, was done just now"
    pages = frozenset({Where.DUE})

    def run(self, page: "Page") -> None:
        """At once, or by a form where something is to be told."""
        cast("DuePage", page).done()


class Pick(Command):
    """Several at once."""

    key, shown, label = "p", "p", "pick"
    help = "Pick the work under the cursor, to be done together with other, or leave it"
    pages = frozenset({Where.DUE})

    def run(self, page: "Page") -> None:
        """And go on to the next."""
        cast("DuePage", page).pick()


class OtherView(Command):
    """What is shown of the alarms."""

    pages = frozenset({Where.ALARMS})

    def __init__(self, key: str, shown: str, by: int) -> None:
        self.key, self.shown, self._by = key, shown, by
        self.label = "next view" if by > 0 else "view before"
        order = "now, past, figures" if by > 0 else "figures, past, now"
        self.help = f"Show another view of the alarms: {order}, and so on round"

    def run(self, page: "Page") -> None:
        """The next one round."""
        cast("AlarmsPage", page).turn_view(self._by)


class AlarmSpan(Command):
    """How far back."""

    key, shown, label = "p", "p", "longer"
    help = "Show the past and the figures of a week, of a month, of a season"
    pages = frozenset({Where.ALARMS})

    def run(self, page: "Page") -> None:
        """The next longer one; after the longest the shortest."""
        cast("AlarmsPage", page).step_span()


class Search(Command):
    """Entries by what one types."""

    key, shown, label = "slash", "/", "search"
    help = "Find entries by wheel, place, kind, initials, words or date, as one types"
    pages = frozenset({Where.JOURNAL})

    def run(self, page: "Page") -> None:
        """Open the line to type into."""
        cast("JournalPage", page).open_search()


LISTING: tuple[Command, ...] = (
    OtherView("left", "←", -1),
    OtherView("right", "→", 1),
    AlarmSpan(),
    Done(),
    Pick(),
    Search(),
)
