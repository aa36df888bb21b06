"""Commands that only a replay has."""

from typing import TYPE_CHECKING

from cavewatch.screens.commands.command import Command

if TYPE_CHECKING:
    from cavewatch.screens.page import Page


class Pause(Command):
    """Stop the replay, or go on."""

    key, shown, label, replay = "space", "space", "pause", True
    help = "Stop the replay, or go on"

    def run(self, page: "Page") -> None:
        """At once."""
        page.controls.pause()


class Faster(Command):
    """Faster replay."""

    key, shown, label, replay = "plus", "+", "faster", True
    help = "Replay faster"

    def run(self, page: "Page") -> None:
        """At once."""
        page.controls.faster()


class Slower(Command):
    """Slower replay."""

    key, shown, label, replay = "minus", "-", "slower", True
    help = "Replay slower"

    def run(self, page: "Page") -> None:
        """At once."""
        page.controls.slower()


class NextAlarm(Command):
    """Skip ahead."""

    key, shown, label, replay = "x", "x", "next alarm", True
    help = "Skip to the next alarm of the replay; esc stops on the way"

    def run(self, page: "Page") -> None:
        """In a thread, because it may take a while."""
        page.dashboard.skip("to the next alarm", page.controls.next_alarm)


class NextEntry(Command):
    """Skip ahead."""

    key, shown, label, replay = "X", "X", "next entry", True
    help = "Skip to the next entry of the replayed journal; esc stops on the way"

    def run(self, page: "Page") -> None:
        """In a thread, because it may take a while."""
        page.dashboard.skip("to the next entry", page.controls.next_entry)


class GoToTime(Command):
    """Any moment of the log."""

    key, shown, label, replay = "T", "T", "to a time", True
    help = "Go to a time of the replayed log; a click on the bar does the same"

    def run(self, page: "Page") -> None:
        """Open the form."""
        page.ask_time()
