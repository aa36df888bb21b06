"""The home screen: what is most urgent, the alarms, the places, the wheels in salt."""

from collections.abc import Collection
from functools import partial
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.worker import Worker, WorkerState

from cavewatch.core.alarms import answers
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.alarms.table import CALLING, State, Trigger, legal
from cavewatch.core.due import TOGETHER
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Act, BackInService, Entry, Voided
from cavewatch.screens import wording
from cavewatch.screens.brine_test import brine_test
from cavewatch.screens.commands import COMMANDS as KEYS
from cavewatch.screens.commands import command_at, commands, footer, help_lines
from cavewatch.screens.desk import Desk, ReplayControls
from cavewatch.screens.detail import WIDEST, Detail
from cavewatch.screens.details import alarm_detail, group_detail, place_detail
from cavewatch.screens.fields import EntryError
from cavewatch.screens.form import Form
from cavewatch.screens.frame import replay_line
from cavewatch.screens.lines import Line, Part, Role, clean, cut
from cavewatch.screens.new_wheels import new_wheels
from cavewatch.screens.painted import ItemList, Lines
from cavewatch.screens.painter import Painter
from cavewatch.screens.palette import CommandProvider
from cavewatch.screens.plan import BY_HEIGHT, BY_WIDTH
from cavewatch.screens.sheets import Sheet, Sheets, Target
from cavewatch.screens.suppressing import shelving, suspending, taking_out

SAID = 8.0
"""How long a confirmation stands in the place of the keys [s]."""
_CHART = (WIDEST - 24) // 2
_GONE: list[Line] = [(Part("This is over; there is nothing more to see."),)]


class HomeScreen(Screen[None]):
    """Draws the picture, once a second where it changed, and carries out commands."""

    COMMANDS = {CommandProvider}  # noqa: RUF012 - declared by Textual
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(command.key, f"give('{command.key}')", command.label, show=False)
        for command in KEYS
    ]
    HORIZONTAL_BREAKPOINTS = BY_WIDTH
    VERTICAL_BREAKPOINTS = BY_HEIGHT

    def __init__(self, desk: Desk, bell: bool = False) -> None:
        super().__init__()
        self.desk = desk
        self._bell = bell
        self._called: set[str] | None = None
        self.painter = Painter(desk)
        self._minute = -1.0
        self._written: list[Entry] = []
        self._said: Line | None = None
        self._skipping = False

    def compose(self) -> ComposeResult:
        """From the most urgent down."""
        yield Lines(id="head")
        yield Lines(id="urgent")
        yield ItemList(id="alarms")
        yield Lines(id="places-head")
        yield ItemList(id="places")
        yield Lines(id="groups-head")
        yield ItemList(id="groups")
        yield Lines(id="replay")
        yield Lines(id="keys")

    def on_mount(self) -> None:
        """Draw, and look for changes once a second."""
        self._redraw()
        self.set_interval(1, self._tick)
        self._list("groups" if self.painter.groups else "places").focus()

    def on_resize(self) -> None:
        """Share out the rows anew."""
        if not self._skipping:
            self._redraw()

    # Drawing

    def _tick(self) -> None:
        if self._skipping:
            return
        try:
            self._look()
        except CavewatchError as fault:
            self.say(str(fault), Role.CAUTION)

    def _look(self) -> None:
        if self.desk.changed() or self.desk.now() // wording.MINUTE != self._minute:
            self._redraw()
        else:
            self._lines("urgent").show(*self.painter.urgent())
            self._list("groups").show(self.painter.group_items())
            self._show_replay()

    def _redraw(self) -> None:
        painter, (width, height) = self.painter, self.app.size
        self._minute = self.desk.now() // wording.MINUTE
        painter.look(width, height)
        self._lines("head").show(*painter.head())
        self._lines("urgent").show(*painter.urgent())
        self._list("alarms").styles.max_height = painter.plan.most_alarms
        self._list("alarms").show(painter.alarms())
        self._lines("places-head").show(*painter.places_heading())
        self._list("places").show(painter.places())
        self._lines("groups-head").show(*painter.groups_heading())
        self._list("groups").show(painter.group_items())
        self._show_replay()
        self._show_keys()
        self._ring()

    def _ring(self) -> None:
        """Ring once for alarms that call since the last picture; who opens the screen sees them."""
        states = (State.UNACK, State.LATCHED_UNACK)
        calling = {alarm.key for alarm in self.painter.dairy.alarms if alarm.state in states}
        if self._bell and self._called is not None and calling - self._called:
            self.app.bell()
        self._called = calling

    def _show_replay(self) -> None:
        if self.desk.replay is not None:
            line = replay_line(self.desk.replay, self._skipping, self.app.size.width - 2)
            self._lines("replay").show(line)

    def _show_keys(self) -> None:
        keys = footer(self.desk.replay is not None, self.app.size.width - 2)
        self._lines("keys").show(keys if self._said is None else self._said)

    def _lines(self, name: str) -> Lines:
        return self.query_one(f"#{name}", Lines)

    def _list(self, name: str) -> ItemList:
        return self.query_one(f"#{name}", ItemList)

    def say(self, words: str, role: Role = Role.STRONG) -> None:
        """Show a line in the place of the keys for a while."""
        said = self._said = (Part(cut(clean(words), self.app.size.width - 2), role),)
        self._show_keys()

        def over() -> None:
            if self._said is said:
                self._said = None
                self._show_keys()

        self.set_timer(SAID, over)

    # Commands

    def action_give(self, key: str) -> None:
        """Carry out the command of a key; say so if it cannot be."""
        command = next(c for c in KEYS if c.key == key)
        if command not in commands(self.desk.replay is not None):
            return
        if self._skipping and key != "q":
            self.say("Looking for the next alarm; this takes a moment")
            return
        try:
            command.run(self)
        except CavewatchError as fault:
            self.say(str(fault), Role.CAUTION)
        self._show_replay()

    @on(events.Click, "#keys")
    def _key_clicked(self, event: events.Click) -> None:
        """Carry out the command whose key was clicked."""
        offset = event.get_content_offset(self._lines("keys"))
        if offset is None or self._said is not None:
            return
        command = command_at(self.desk.replay is not None, self.app.size.width - 2, offset.x)
        if command is not None:
            self.action_give(command.key)

    def sheets(self) -> Sheets:
        """The forms for what the cursor is on."""
        return Sheets(self.desk, self.painter.dairy, self.target())

    def new_wheels(self) -> Sheet:
        """The form for new wheels."""
        return new_wheels(self.desk, self.painter.dairy, self.target())

    def brine_test(self) -> Sheet:
        """The form for a test of a tub's brine."""
        return brine_test(self.desk, self.painter.dairy, self.target())

    def fill_in(self, sheet: Sheet) -> None:
        """Open a form."""
        self.app.push_screen(Form(sheet, self.desk.append), self._filled_in)

    def _filled_in(self, entry: Entry | None) -> None:
        if entry is None:
            return
        if isinstance(entry.act, Voided):
            self._written.pop()
        else:
            self._written.append(entry)
        self.say(f"Written: {wording.act_words(entry.act, self.desk.display)}")
        self._redraw()

    def void_last(self) -> None:
        """Open the form that voids the last entry made here."""
        if not self._written:
            raise EntryError("nothing has been entered here since the dashboard was opened")
        self.fill_in(self.sheets().voided(self._written[-1]))

    def acknowledge(self) -> None:
        """Acknowledge the alarm under the cursor; the first that needs it from elsewhere."""
        alarm = self._alarm(CALLING, "there is no alarm here that waits to be acknowledged")
        self._answer(answers.acknowledge(alarm), f"Acknowledged: {alarm.explanation.what}")

    def reset(self) -> None:
        """Reset the latched alarm under the cursor; the first from elsewhere."""
        latched = [state for state in State if legal(state, Trigger.RESET)]
        alarm = self._alarm(latched, "there is no latched alarm here")
        self._answer(answers.reset(alarm), f"Reset: {alarm.explanation.what}")

    def shelve(self) -> None:
        """Shelve the alarm under the cursor, or take it back."""
        alarm = self._alarm(tuple(State), "there is no alarm here to shelve")
        if alarm.state is State.SHLVD:
            self._answer(answers.unshelve(alarm), f"Taken back: {alarm.explanation.what}")
        else:
            self.fill_in(shelving(self.desk, self.painter.dairy, alarm))

    def service(self) -> None:
        """Take the alarm under the cursor out of service, or put it back."""
        alarm = self._alarm(tuple(State), "there is no alarm here to take out of service")
        if alarm.state is State.OOSRV:
            self._answer(BackInService(alarm.key), f"Back in service: {alarm.explanation.what}")
        else:
            self.fill_in(taking_out(self.desk, self.painter.dairy, alarm))

    def suspend(self) -> None:
        """Open the form that suppresses the alarms of a place."""
        place = self.target().place or self.desk.places[0].name
        self.fill_in(suspending(self.desk, self.painter.dairy, place))

    def _alarm(self, states: Collection[State], none: str) -> Alarm:
        """The alarm under the cursor, or from elsewhere the first, in one of these states."""
        fit = [alarm for alarm in self.painter.dairy.alarms if alarm.state in states]
        if self._list("alarms").has_focus:
            fit = [alarm for alarm in fit if alarm.key == self._list("alarms").key]
        if not fit:
            raise EntryError(none)
        return fit[0]

    def _answer(self, act: Act, said: str) -> None:
        """Append an entry at once, and say so."""
        self.desk.append(act, self.desk.now(), self.desk.initials)
        self.say(said)
        self._redraw()

    def help(self) -> None:
        """Open the list of keys."""
        replay = self.desk.replay is not None
        self.app.push_screen(Detail("Keys", partial(help_lines, replay)))

    @property
    def controls(self) -> ReplayControls:
        """The handles of the replay; there are none when live."""
        assert self.desk.replay is not None
        return self.desk.replay

    def skip(self) -> None:
        """Skip to the next alarm, in a thread."""
        self._skipping = True
        self.run_worker(
            self.controls.next_alarm, name="skip", thread=True, exclusive=True, exit_on_error=False
        )

    @on(Worker.StateChanged)
    def _skipped(self, event: Worker.StateChanged) -> None:
        if event.worker.name != "skip" or not event.worker.is_finished:
            return
        self._skipping = False
        if event.state is WorkerState.ERROR:
            self.say(str(event.worker.error), Role.CAUTION)
        self._redraw()

    # What the cursor is on

    def target(self) -> Target:
        """The wheels that an action may be meant for."""
        dairy = self.painter.dairy
        group = next((g for g in self.painter.groups if g.key == self._list("groups").key), None)
        if group is None or self._list("places").has_focus:
            name = self._list("places").key or ""
            view = next((v for v in dairy.places if v.place.name == name), None)
            return Target((), (), () if view is None else view.wheels, name)
        steps = () if group.countdown is None else group.countdown.steps
        doses = [s.grams for s in steps if s.at.expected - steps[0].at.expected < TOGETHER]
        dose = next((grams for grams in doses if grams is not None), None)
        return Target(
            chosen=group.numbers,
            make=tuple(n for n, w in dairy.wheels.items() if w.make == group.wheel.make),
            here=tuple(n for n, w in dairy.wheels.items() if w.place == group.wheel.place),
            place=group.wheel.place,
            grams=None if dose is None else dose.expected,
        )

    @on(ItemList.Opened)
    def _open(self, event: ItemList.Opened) -> None:
        """Open what is behind a line."""
        if self._skipping:
            return
        bodies = {
            "alarms": (self._alarm_body, "Alarm", "azogc"),
            "places": (self._place_body, event.key, "bmew"),
            "groups": (self._group_body, "In salt", "tslmew"),
        }
        body, title, keys = bodies[event.source.id or ""]
        named = [f"{c.shown} {c.label}" for c in KEYS if c.key in keys]
        detail = Detail(title, partial(body, event.key), keys, "  ".join([*named, ""]))
        self.app.push_screen(detail, self._left)

    def _left(self, key: str | None) -> None:
        if key is not None:
            self.action_give(key)

    def _alarm_body(self, key: str, width: int) -> list[Line]:
        alarm = next((a for a in self.painter.dairy.alarms if a.key == key), None)
        if alarm is None:
            return _GONE
        return alarm_detail(alarm, self.desk.now(), self.desk.zone, width)

    def _group_body(self, key: str, width: int) -> list[Line]:
        group = next((g for g in self.painter.groups if g.key == key), None)
        if group is None:
            return _GONE
        return group_detail(group, self.desk.now(), self.desk.zone, self.desk.display, width)

    def _place_body(self, key: str, width: int) -> list[Line]:
        dairy, desk = self.painter.dairy, self.desk
        view = next((v for v in dairy.places if v.place.name == key), None)
        if view is None:
            return _GONE
        trends = self.painter.trends((view,), min(_CHART, width - 16))
        return place_detail(view, dairy, trends, desk.now(), desk.zone, desk.display, width)
