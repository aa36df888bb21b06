"""Commands that enter what was done."""

from typing import TYPE_CHECKING, cast

from cavewatch.screens.brine_test import brine_test
from cavewatch.screens.brine_work import brine_work
from cavewatch.screens.commands.command import Command
from cavewatch.screens.fields import EntryError
from cavewatch.screens.make_entries import acidity, milk
from cavewatch.screens.new_wheels import new_wheels
from cavewatch.screens.where import Where

if TYPE_CHECKING:
    from cavewatch.screens.page import Page
    from cavewatch.screens.pages.planner import PlannerPage


class Turned(Command):
    """Wheels turned."""

    key, shown, label = "t", "t", "turned"
    help = "Enter that wheels were turned"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(page.sheets().turned())


class Salted(Command):
    """Salt put on."""

    key, shown, label = "s", "s", "salted"
    help = "Enter dry salt put on the face of wheels in brine, or on wheels in dry salt"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(page.sheets().salted())


class Lifted(Command):
    """Wheels out of the salt."""

    key, shown, label = "l", "l", "lifted"
    help = "Enter that wheels came out of the brine or off the salt: their salting is over"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(page.sheets().lifted())


class NewWheels(Command):
    """A new make."""

    key, shown, label = "n", "n", "new wheels"
    help = "Enter new wheels: style, number, weight, size, salting and place"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(new_wheels(page.desk, page.dairy, page.target()))


class PutIn(Command):
    """The plan carried out."""

    key, shown, label = "ctrl+s", "ctrl+s", "put it in"
    help = "Enter new wheels as they are planned, after a look at the form for them"
    pages = frozenset({Where.PLANNER})

    def run(self, page: "Page") -> None:
        """Open the form for new wheels with the plan in it."""
        cast("PlannerPage", page).put_in()


class Brine(Command):
    """Brine measured."""

    key, shown, label = "b", "b", "brine"
    help = "Enter a test of a brine: its strength, its pH, how it looks"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(brine_test(page.desk, page.dairy, page.target()))


class BrineDone(Command):
    """Work on a tub."""

    key, shown, label = "B", "B", "brine work"
    help = "Enter work on a tub: mixed, restored, filtered, heated, cleaned, drawn off, skimmed"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(brine_work(page.desk, page.dairy, page.target()))


class Moved(Command):
    """Wheels moved."""

    key, shown, label = "m", "m", "moved"
    help = "Enter that wheels were moved to another place"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(page.sheets().moved())


class Washed(Command):
    """Rinds tended."""

    key, shown, label = "r", "r", "rind"
    help = "Enter that rinds were washed, rubbed, brushed, wiped, oiled or scraped"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(page.sheets().washed())


class Assayed(Command):
    """Salt found in wheels."""

    key, shown, label = "A", "A", "assay"
    help = "Enter the salt that an assay found in wheels: countdowns learn from it"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(page.sheets().assayed())


class Weighed(Command):
    """Wheels on the scale."""

    key, shown, label = "W", "W", "weighed"
    help = "Enter what wheels weigh: the loss is told, and countdowns learn a little from it"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(page.sheets().weighed())


class MilkUsed(Command):
    """The milk of a make."""

    key, shown, label = "M", "M", "milk"
    help = "Enter the milk of a make: raw, heat-treated or pasteurised, source, cultures, rennet"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(milk(page.desk, page.dairy, page.target()))


class Acidity(Command):
    """The pH of milk, curd, whey or cheese."""

    key, shown, label = "H", "H", "pH"
    help = "Enter a pH of the milk, curd, whey or cheese of a make"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(acidity(page.desk, page.dairy, page.target()))


class Note(Command):
    """Free text."""

    key, shown, label = "w", "w", "note"
    help = "Write a note, about some wheels or about nothing in particular"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(page.sheets().noted())


class Ended(Command):
    """Wheels gone."""

    key, shown, label = "e", "e", "ended"
    help = "Enter that wheels were sold, cut or discarded"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.fill_in(page.sheets().ended())


class TakeBack(Command):
    """What was just entered does not count."""

    key, shown, label = "u", "u", "take back"
    help = "Take back what was just entered, for 10 s; it stays in the record, marked as void"

    def run(self, page: "Page") -> None:
        """Append the entries that correct it, at once."""
        page.take_back()


class Void(Command):
    """An older entry does not count."""

    key, shown, label = "v", "v", "void"
    help = "Void the entry under the cursor; it stays in the record, marked as void"
    pages = frozenset({Where.JOURNAL})

    def run(self, page: "Page") -> None:
        """Open the form."""
        entry = page.entry_here()
        if entry is None:
            raise EntryError("the cursor is on no entry, so there is nothing to void")
        page.fill_in(page.sheets().voided(entry))
