"""Commands that answer alarms."""

from collections.abc import Collection
from typing import TYPE_CHECKING, cast

from cavewatch.core.alarms import answers
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.alarms.table import CALLING, State, Trigger, legal
from cavewatch.core.journal import BackInService
from cavewatch.screens.commands.command import Command
from cavewatch.screens.fields import EntryError
from cavewatch.screens.suppressing import shelving, suspending, taking_out
from cavewatch.screens.where import Where

if TYPE_CHECKING:
    from cavewatch.screens.page import Page
    from cavewatch.screens.pages.alarms import AlarmsPage

_LATCHED = tuple(state for state in State if legal(state, Trigger.RESET))


def _alarm(page: "Page", states: Collection[State], none: str) -> Alarm:
    """The alarm under the cursor, or from elsewhere the first, in one of these states."""
    fit = [alarm for alarm in page.dairy.alarms if alarm.state in states]
    key = page.alarm_here()
    if key is not None:
        fit = [alarm for alarm in fit if alarm.key == key]
    if not fit:
        raise EntryError(none)
    return fit[0]


class Acknowledge(Command):
    """Alarm seen."""

    key, shown, label = "a", "a", "acknowledge"
    help = "Acknowledge the alarm under the cursor: somebody has seen it"

    def run(self, page: "Page") -> None:
        """Append the entry at once."""
        alarm = _alarm(page, CALLING, "there is no alarm here that waits to be acknowledged")
        page.enter(answers.acknowledge(alarm), f"Acknowledged: {alarm.explanation.what}")


class ResetAlarm(Command):
    """Latched alarm let go."""

    key, shown, label = "g", "g", "reset"
    help = "Reset the latched alarm under the cursor: let it go"

    def run(self, page: "Page") -> None:
        """Append the entry at once."""
        alarm = _alarm(page, _LATCHED, "there is no latched alarm here")
        page.enter(answers.reset(alarm), f"Reset: {alarm.explanation.what}")


class Shelve(Command):
    """Alarm set aside, or taken back."""

    key, shown, label = "z", "z", "shelve"
    help = "Shelve the alarm under the cursor for a time, or take back one that is shelved"

    def run(self, page: "Page") -> None:
        """Open the form, or append the entry at once."""
        alarm = _alarm(page, tuple(State), "there is no alarm here to shelve")
        if alarm.state is State.SHLVD:
            page.enter(answers.unshelve(alarm), f"No longer shelved: {alarm.explanation.what}")
        else:
            page.fill_in(shelving(page.desk, page.dairy, alarm))


class Service(Command):
    """Alarm out of service, or back."""

    key, shown, label = "o", "o", "out of service"
    help = "Take the alarm under the cursor out of service with a reason, or put it back"

    def run(self, page: "Page") -> None:
        """Open the form, or append the entry at once."""
        alarm = _alarm(page, tuple(State), "there is no alarm here to take out of service")
        if alarm.state is State.OOSRV:
            page.enter(BackInService(alarm.key), f"Back in service: {alarm.explanation.what}")
        else:
            page.fill_in(taking_out(page.desk, page.dairy, alarm))


class Close(Command):
    """What was done about an alarm."""

    key, shown, label = "C", "C", "close"
    help = "Close the alarm under the cursor: enter what was done with the product and the cause"
    pages = frozenset({Where.ALARMS})

    def run(self, page: "Page") -> None:
        """Open the form."""
        cast("AlarmsPage", page).close_alarm()


class Suspend(Command):
    """Place that does not count for a time."""

    key, shown, label = "c", "c", "cleaning"
    help = "Suppress the alarms of a place for a time, such as while its door is open for cleaning"

    def run(self, page: "Page") -> None:
        """Open the form."""
        places = [place.name for place in page.desk.places]
        if not places:
            raise EntryError("there is no place in the config, so there is nothing to suppress")
        here = page.target().place
        place = here if here in places else places[0]
        page.fill_in(suspending(page.desk, page.dairy, place))
