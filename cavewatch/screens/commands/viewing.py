"""Commands that change what this viewer sees, and nothing else."""

from typing import TYPE_CHECKING

from cavewatch.screens.commands.command import Command
from cavewatch.screens.where import EVERYWHERE, Where
from cavewatch.units import Display, System

if TYPE_CHECKING:
    from cavewatch.screens.page import Page


class Units(Command):
    """Metric or US."""

    key, shown, label = "f", "f", "°C or °F"
    help = "Show values in metric or in US units, on this dashboard only"

    def run(self, page: "Page") -> None:
        """Draw everything anew."""
        metric = page.desk.display.system is System.METRIC
        page.desk.switched(Display(System.US if metric else System.METRIC))
        page.redraw()
        page.say(f"Values are shown in {'US' if metric else 'metric'} units here")


class Colours(Command):
    """Dark, light or 16 colours."""

    key, shown, label = "d", "d", "dark or light"
    help = "Change the colours: for a dark ground, for a light one, or the terminal's own 16"

    def run(self, page: "Page") -> None:
        """Take the next theme that the terminal can show."""
        page.say(page.dashboard.next_theme())


class Keys(Command):
    """The keys."""

    key, shown, label = "question_mark", "?", "all keys"
    help = "Show all keys; each can be given from there"
    pages = EVERYWHERE - {Where.KEYS}

    def run(self, page: "Page") -> None:
        """Open the page of keys."""
        page.dashboard.open(Where.KEYS, page.where)


class Quit(Command):
    """Leave."""

    key, shown, label = "q", "q", "quit"
    help = "Leave the dashboard; recording goes on"

    def run(self, page: "Page") -> None:
        """At once."""
        page.app.exit()
