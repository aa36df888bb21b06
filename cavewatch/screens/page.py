"""The frame of every page: title, notice, the most urgent thing, the body, the replay, the keys."""

from abc import abstractmethod
from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widget import Widget

from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.dairy import Dairy
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Act, Entry
from cavewatch.core.urgent import calling
from cavewatch.screens import frame, keys, wording
from cavewatch.screens.commands import COMMANDS as KEYS
from cavewatch.screens.commands import Command, command_of
from cavewatch.screens.desk import Desk, ReplayControls
from cavewatch.screens.fields import Values
from cavewatch.screens.form import Form
from cavewatch.screens.lines import Part, Role
from cavewatch.screens.painted import Lines
from cavewatch.screens.palette import CommandProvider
from cavewatch.screens.plan import BY_HEIGHT, BY_WIDTH, GUTTER, SCROLL_BAR, TALL
from cavewatch.screens.sheets import NOWHERE, Sheet, Sheets, Target, time_of_log
from cavewatch.screens.viewer import Viewer
from cavewatch.screens.where import Where

if TYPE_CHECKING:
    from cavewatch.screens.app import DashboardApp


class Page(Screen[None]):
    """Draws the picture, once a second where it changed, and carries out commands.

    A page fills in `where`, `body` and `draw`, and what else of the first part
    differs from the usual.
    """

    where: ClassVar[Where]
    first: ClassVar[tuple[str, ...]] = ()
    """Keys of the commands that its footer shows first."""

    COMMANDS = {CommandProvider}  # noqa: RUF012 - declared by Textual
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(key, f"give('{key}')", show=False)
        for key in dict.fromkeys(command.key for command in KEYS)
    ]
    HORIZONTAL_BREAKPOINTS = BY_WIDTH
    VERTICAL_BREAKPOINTS = BY_HEIGHT
    AUTO_FOCUS = ""

    def __init__(self, viewer: Viewer, subject: str = "") -> None:
        """Make it.

        Args:
            viewer: what all pages share.
            subject: what it is about: the name of a place, the number of a wheel,
                the key of an alarm; empty for a page about everything.
        """
        super().__init__()
        self.viewer = viewer
        self.subject = subject
        self._minute = -1.0
        self._asleep = False

    # What a page fills in

    @abstractmethod
    def body(self) -> ComposeResult:
        """The widgets between the urgent thing and the replay."""

    @abstractmethod
    def draw(self) -> None:
        """Show everything anew: picture, minute, size, units or subject are other than before."""

    def count_down(self) -> None:
        """Show what changes by the second; asked where `draw` is not."""

    def subjects(self) -> Sequence[str]:
        """What `subject` may be, in the order of stepping through them."""
        return ()

    @classmethod
    def nearest(cls, dairy: Dairy, target: Target) -> str:  # noqa: ARG003
        """The subject of this page when it is opened from where the cursor is on `target`."""
        return ""

    def heading(self) -> str:
        """What stands beside the dairy's name."""
        return self.subject or self.where.value

    def target(self) -> Target:
        """The wheels and the place that a command is meant for."""
        return NOWHERE

    def alarm_here(self) -> str | None:
        """Key of the alarm under the cursor; None elsewhere."""
        return None

    def entry_here(self) -> Entry | None:
        """The entry under the cursor; None elsewhere."""
        return None

    def start(self) -> Widget | None:
        """What has the focus at first."""
        return next(iter(self.focus_chain), None)

    # What a page has to work with

    @property
    def desk(self) -> Desk:
        """The dairy."""
        return self.viewer.desk

    @property
    def dairy(self) -> Dairy:
        """The newest picture of it."""
        return self.viewer.dairy

    @property
    def dashboard(self) -> "DashboardApp":
        """The application: leads to other pages, changes colours, skips."""
        return cast("DashboardApp", self.app)

    @property
    def cells(self) -> int:
        """Width of a line of the body [cells]."""
        return self.app.size.width - GUTTER - SCROLL_BAR

    @property
    def rows(self) -> int:
        """Lines that the body may fill."""
        taken = sum(len(self._lines(name).lines) for name in ("head", "urgent", "replay", "keys"))
        return self.app.size.height - taken - (self.app.size.height >= TALL)

    @property
    def controls(self) -> ReplayControls:
        """The handles of the replay; there are none when live."""
        assert self.desk.replay is not None
        return self.desk.replay

    @property
    def replayed(self) -> bool:
        """True in a replay."""
        return self.desk.replay is not None

    def sheets(self) -> Sheets:
        """The forms for what the cursor is on."""
        return Sheets(self.desk, self.dairy, self.target())

    def fill_in(self, sheet: Sheet) -> None:
        """Open a form; what it enters is said and can be taken back."""

        def write(values: Values) -> tuple[Entry, ...]:
            built = sheet.build(values)
            acts = built if isinstance(built, tuple) else (built,)
            when = values["when"]
            return self.viewer.enter(acts, when.at, values["by"], typed=when.typed)

        def written(entries: tuple[Entry, ...] | None) -> None:
            if entries:
                words = (wording.act_words(e.act, self.desk.display) for e in entries)
                self._entered(f"Written: {'; '.join(words)}")

        self.app.push_screen(Form(sheet.title, sheet.fields, write), written)

    def enter(self, act: Act, said: str) -> None:
        """Append an entry at once, and say so."""
        self.viewer.enter((act,), self.desk.now(), self.desk.initials)
        self._entered(said)

    def take_back(self) -> None:
        """Void what was just entered."""
        entries = self.viewer.take_back()
        words = (wording.act_words(e.act, self.desk.display) for e in entries)
        self._entered(f"Taken back: {'; '.join(words)}")

    def ask_time(self) -> None:
        """Ask to which time of the log to go, and go there."""
        controls = self.controls

        def asked(at: float | None) -> None:
            if at is not None:
                self.dashboard.skip_to(at)

        fields = (time_of_log(self.desk, controls.start, controls.end),)
        form = Form("Go to a time", fields, lambda values: float(values["time"]), "Go")
        self.app.push_screen(form, asked)

    def say(self, words: str, role: Role = Role.STRONG) -> None:
        """Show a line in the place of the keys for a while."""
        self.viewer.said = Part(words, role)
        self.show_keys()
        self.dashboard.forget_later()

    def say_skipping(self) -> None:
        """Say why nothing else is done now."""
        self.say(f"On the way {self.viewer.skipping}; esc stops it")

    def _entered(self, said: str) -> None:
        self.say(said)
        self.redraw()

    # Drawing

    def compose(self) -> ComposeResult:
        """From the most urgent down."""
        yield Lines(id="head")
        yield Lines(id="urgent")
        yield from self.body()
        yield Lines(id="replay")
        yield Lines(id="keys")

    def on_mount(self) -> None:
        """Draw, and take the focus."""
        self.redraw()
        first = self.start()
        if first is not None:
            first.focus()

    def on_resize(self) -> None:
        """Share out the rows anew."""
        self._draw_if_seen()

    def on_screen_suspend(self) -> None:
        """Something opened over it."""
        self._asleep = True

    def on_screen_resume(self) -> None:
        """It is seen again."""
        if self._asleep:
            self._asleep = False
            self._draw_if_seen()

    @property
    def drawn(self) -> bool:
        """False before it was drawn for the first time, and once it is taken down."""
        return self._minute >= 0 and bool(self.query("#urgent"))

    def _draw_if_seen(self) -> None:
        if self.dashboard.page is self and self.drawn:
            self.redraw()

    def tick(self) -> None:
        """Show what changed; called once a second."""
        viewer, desk = self.viewer, self.desk
        if not self.drawn:
            return
        if viewer.skipping:
            self.show_replay()
            return
        try:
            new = desk.changed() or desk.now() // wording.MINUTE != self._minute
            if new or viewer.trouble:
                viewer.trouble = ""
                self.redraw()
                return
        except CavewatchError as fault:
            viewer.trouble = str(fault)
            self.show_head()
            return
        self.show_urgent()
        self.count_down()
        self.show_replay()

    def redraw(self) -> None:
        """Take a new picture and show everything; only the bar and the keys during a skip."""
        skipping = bool(self.viewer.skipping)
        if not skipping:
            self._minute = self.desk.now() // wording.MINUTE
            self.viewer.look()
            self.show_head()
            self.show_urgent()
        self.show_replay()
        self.show_keys()
        if not skipping:
            self.draw()

    def show_head(self) -> None:
        """Title, page, time; what is wrong with the recorder, the store or the journal."""
        viewer, desk = self.viewer, self.desk
        notice = viewer.trouble or desk.notice() or "; ".join(self.dairy.misfits)
        page = "" if self.where is Where.HOME else self.heading()
        lines = frame.head_lines(desk.title, page, notice, desk.now(), desk.zone, self.cells + 1)
        self._lines("head").show(*lines)

    def show_urgent(self) -> None:
        """The most urgent thing."""
        desk = self.desk
        lines = frame.urgent_lines(self.dairy, desk.now(), desk.zone, desk.display, self.cells)
        self._lines("urgent").show(*lines)

    def show_replay(self) -> None:
        """The bar of the replay, where there is one."""
        if self.desk.replay is not None:
            line = frame.replay_line(self.desk.replay, self.viewer.skipping, self.cells + 1)
            self._lines("replay").show(line)

    def show_keys(self) -> None:
        """What was said, or the keys; how to take back what was just entered."""
        width = self.cells + 1
        said, offered = self.viewer.said, bool(self.viewer.offer)
        lines = [frame.keys_line(keys.footer(self.footer(), width), said, offered, width)]
        if self.app.size.height >= TALL:
            lines.append(keys.footer(keys.pages(self.where, self.replayed), width))
        self._lines("keys").show(*lines)

    def footer(self) -> tuple[Command, ...]:
        """The commands in the order of the footer."""
        return keys.ordered(self.where, self.replayed, self.first)

    def _lines(self, name: str) -> Lines:
        return self.query_one(f"#{name}", Lines)

    # Commands

    def action_give(self, key: str) -> None:
        """Carry out the command of a key; say so if it cannot be."""
        command = command_of(key, self.where, self.replayed)
        if self.viewer.skipping and key == "escape":
            self.dashboard.stop_skipping()
        elif self.viewer.skipping and key != "q":
            self.say_skipping()
        elif command is not None:
            try:
                command.run(self)
            except CavewatchError as fault:
                self.say(str(fault), Role.CAUTION)
            if self.dashboard.page is self:
                self.show_replay()

    def turn(self, by: int) -> None:
        """Show the next or previous subject on this page; after the last comes the first."""
        every = list(self.subjects())
        if self.subject in every:
            self.turn_to(every[(every.index(self.subject) + by) % len(every)])

    def turn_to(self, subject: str) -> None:
        """Show something else of the same kind on this page."""
        self.subject = subject
        self.redraw()

    @on(events.Click, "#keys")
    def _key_clicked(self, event: events.Click) -> None:
        """Carry out the command whose key was clicked."""
        offset = event.get_content_offset(self._lines("keys"))
        if offset is None:
            return
        width, shown = self.cells + 1, self.footer()
        if offset.y == 1:
            shown = keys.pages(self.where, self.replayed)
        elif self.viewer.offer and offset.x >= width - frame.OFFER_CELLS:
            self.action_give("u")
            return
        elif self.viewer.said is not None:
            return
        command = keys.command_at(shown, width, offset.x)
        if command is not None:
            self.action_give(command.key)

    @on(events.Click, "#urgent")
    def _urgent_clicked(self) -> None:
        """Open what the most urgent thing is about."""
        first = calling(self.dairy, self.desk.now())
        if isinstance(first, Alarm):
            self.dashboard.open(Where.ALARMS, first.key)
        else:
            self.dashboard.open(Where.DUE)

    @on(events.Click, "#replay")
    def _replay_clicked(self, event: events.Click) -> None:
        """Go to the time that was clicked on the bar."""
        offset = event.get_content_offset(self._lines("replay"))
        if offset is None or self.desk.replay is None or self.viewer.skipping:
            return
        at = frame.time_at(self.desk.replay, self.cells + 1, offset.x)
        if at is not None:
            self.dashboard.skip_to(at)
