"""Commands that choose what the page of a wheel shows."""

from typing import TYPE_CHECKING, cast

from cavewatch.screens.commands.command import Command
from cavewatch.screens.where import Where

if TYPE_CHECKING:
    from cavewatch.screens.page import Page
    from cavewatch.screens.pages.wheel import WheelPage

_WHEEL = frozenset({Where.WHEEL})


class NextMoment(Command):
    """The cut at another time."""

    key, shown, label = "p", "p", "moment"
    help = "Cut the wheel at the next moment: now, at the lift, a week later, when even"
    pages = _WHEEL

    def run(self, page: "Page") -> None:
        """After the last comes the first."""
        cast("WheelPage", page).step_moment(1)


class PreviousMoment(Command):
    """The same, backwards."""

    key, shown, label = "P", "P", "moment before"
    help = "Cut the wheel at the moment before"
    pages = _WHEEL

    def run(self, page: "Page") -> None:
        """Before the first comes the last."""
        cast("WheelPage", page).step_moment(-1)


class CutTime(Command):
    """The cut somewhat earlier or later."""

    pages = _WHEEL

    def __init__(self, key: str, shown: str, columns: int) -> None:
        self.key, self.shown, self._columns = key, shown, columns
        self.label = "earlier" if columns < 0 else "later"
        self.help = f"Cut the wheel {self.label}, by a column of the uptake curve"

    def run(self, page: "Page") -> None:
        """Move the upright line of the curve."""
        cast("WheelPage", page).step_time(self._columns)


class View(Command):
    """One picture, both or none."""

    key, shown, label = "y", "y", "view"
    help = "Show the cut alone, the uptake alone, neither, then both again"
    pages = _WHEEL

    def run(self, page: "Page") -> None:
        """The next one."""
        cast("WheelPage", page).step_view()


class OtherMake(Command):
    """Another make."""

    pages = _WHEEL

    def __init__(self, key: str, by: int) -> None:
        self.key = self.shown = key
        self._by = by
        self.label = "next make" if by > 0 else "make before"
        self.help = f"Show the first wheel of the {self.label}"

    def run(self, page: "Page") -> None:
        """After the last comes the first."""
        cast("WheelPage", page).step_make(self._by)


class MakeSheet(Command):
    """The record of the make."""

    key, shown, label = "S", "S", "make sheet"
    help = "Show the make sheet: all that is on record of the wheel's make, as a text to read"
    pages = _WHEEL

    def run(self, page: "Page") -> None:
        """Open it on top."""
        page.dashboard.open(Where.SHEET, page.subject)


WHEELS: tuple[Command, ...] = (
    NextMoment(),
    PreviousMoment(),
    CutTime("comma", ",", -1),
    CutTime("full_stop", ".", 1),
    View(),
    MakeSheet(),
    OtherMake("i", 1),
    OtherMake("I", -1),
)
