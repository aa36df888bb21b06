"""Commands that lead from page to page."""

from typing import TYPE_CHECKING

from cavewatch.screens.commands.command import Command
from cavewatch.screens.where import DIGITS, EVERYWHERE, Where

if TYPE_CHECKING:
    from cavewatch.screens.page import Page

_HELP = {
    Where.HOME: "Go to the home page: alarms, places, wheels in salt",
    Where.PLACE: "Go to the place under the cursor: what is measured there, and who is in it",
    Where.WHEEL: "Go to the wheel under the cursor: its life, its salt, what is left to do",
    Where.TUB: "Go to a tub: its brine, the wheels in it, the tests that are due",
    Where.PLANNER: "Go to the planner: what a wheel will need",
    Where.ALARMS: "Go to the alarms: what they mean, and what to do",
    Where.DUE: "Go to what is due, over all wheels and tubs",
    Where.JOURNAL: "Go to the journal: everything that was entered",
}
_ABOUT_ONE = frozenset({Where.PLACE, Where.WHEEL, Where.TUB, Where.SHEET})


class GoTo(Command):
    """A page by its digit."""

    def __init__(self, digit: str, where: Where) -> None:
        self.key = self.shown = digit
        self.where = where
        self.label = where.value
        self.help = _HELP[where]

    def run(self, page: "Page") -> None:
        """Leave the trail that led here, and open it."""
        page.dashboard.go(self.where)


class Back(Command):
    """The page before."""

    key, shown, label = "escape", "esc", "back"
    help = "Go back to the page before, or close what is open without writing anything"
    pages = EVERYWHERE - {Where.HOME}

    def run(self, page: "Page") -> None:
        """Close this one."""
        page.dashboard.back()


class Previous(Command):
    """The one before of the same kind."""

    key, shown, label = "left", "←", "previous"
    help = "Show the place, wheel, tub or make before this one"
    pages = _ABOUT_ONE

    def run(self, page: "Page") -> None:
        """Show it on this page."""
        page.turn(-1)


class Next(Command):
    """The one after of the same kind."""

    key, shown, label = "right", "→", "next"
    help = "Show the place, wheel, tub or make after this one"
    pages = _ABOUT_ONE

    def run(self, page: "Page") -> None:
        """Show it on this page."""
        page.turn(1)


PAGES = tuple(GoTo(digit, where) for digit, where in DIGITS.items())
