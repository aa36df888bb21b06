"""The dashboard: its pages, the time that passes, skips of a replay."""

from collections.abc import Callable

from textual import on
from textual.worker import Worker, WorkerState

from cavewatch import clock
from cavewatch.core.alarms.table import State
from cavewatch.screens.desk import Desk
from cavewatch.screens.lines import Role, clean
from cavewatch.screens.page import Page
from cavewatch.screens.pages import PAGES
from cavewatch.screens.terminal_app import TerminalApp
from cavewatch.screens.viewer import Viewer
from cavewatch.screens.where import Where

FORGET_AFTER = 10.0
"""How long what was said stands in the place of the keys, and can be taken back [s]."""


class DashboardApp(TerminalApp[None]):
    """The dashboard of one dairy: a stack of pages, the home page at the bottom."""

    def __init__(self, desk: Desk, ascii_only: bool | None = None, bell: bool = False) -> None:
        """Make it.

        Args:
            desk: the dairy.
            ascii_only: whether to keep to ASCII; None to find out from the terminal.
            bell: whether the terminal's bell rings when an alarm calls anew.
        """
        super().__init__(ascii_only)
        self.viewer = Viewer(desk)
        self._rings = bell
        self._called: frozenset[str] | None = None
        self.title = clean(desk.title)
        self._said = 0

    def next_theme(self) -> str:
        """Take the next colours that the terminal can show; gives back words about them."""
        if len(self.themes) == 1:
            return f"This terminal shows {self.themes[0].name} and no other colours"
        names = [each.name for each in self.themes]
        self.theme = names[(names.index(self.theme) + 1) % len(names)]
        return f"Colours: {self.theme}"

    # Pages

    def get_default_screen(self) -> Page:
        """The home page."""
        return PAGES[Where.HOME](self.viewer)

    @property
    def page(self) -> Page:
        """The page that is seen, perhaps beneath a form."""
        return next(screen for screen in reversed(self.screen_stack) if isinstance(screen, Page))

    def open(self, where: Where, subject: str = "") -> None:
        """Open a page on top of those that are open; the same page only turns to the subject."""
        page = self.page
        if self.viewer.skipping:
            page.say_skipping()
        elif page.where is where:
            page.turn_to(subject or page.subject)
        else:
            subject = subject or PAGES[where].nearest(page.dairy, page.target())
            self.push_screen(PAGES[where](self.viewer, subject))

    def go(self, where: Where) -> None:
        """Go to a page from the home page, leaving the trail that led here."""
        page = self.page
        if page.where is where:
            return
        subject = PAGES[where].nearest(page.dairy, page.target())
        while len(self.screen_stack) > 1:
            self.pop_screen()
        if where is not Where.HOME:
            self.push_screen(PAGES[where](self.viewer, subject))

    def back(self) -> None:
        """Close the page on top; the home page stays."""
        if len(self.screen_stack) > 1:
            self.pop_screen()

    # Time

    def on_mount(self) -> None:
        """Look for changes once a second."""
        self.set_interval(1, self.tick)

    def tick(self) -> None:
        """Show what changed on the page that is seen; ring for alarms that call since then."""
        self.page.tick()
        if self._rings and self.page.drawn:
            self._ring()

    def _ring(self) -> None:
        """Ring once for each alarm that calls anew; who opens the dashboard sees the others."""
        states = (State.UNACK, State.LATCHED_UNACK)
        calling = frozenset(a.key for a in self.viewer.dairy.alarms if a.state in states)
        if self._called is not None and calling - self._called:
            self.bell()
        self._called = calling

    def forget_later(self) -> None:
        """Show the keys again after a while, unless something else is said meanwhile."""
        self._said += 1
        said = self._said

        def over() -> None:
            if said == self._said:
                self.forget()

        self.set_timer(FORGET_AFTER, over)

    def forget(self) -> None:
        """Show the keys again; what was just entered stays."""
        self.viewer.said, self.viewer.offer = None, ()
        if self.page.drawn:
            self.page.show_keys()

    # Replay

    def skip_to(self, at: float) -> None:
        """Go to a moment of the replayed log [s since 1970 UTC]."""
        desk = self.viewer.desk
        if desk.replay is not None:
            go_to = desk.replay.go_to
            self.skip(f"to {clock.moment(at, desk.now(), desk.zone)}", lambda: go_to(at))

    def skip(self, words: str, work: Callable[[], None]) -> None:
        """Let a replay skip in a thread, and show how far it is."""
        self.viewer.skipping = words
        self.page.show_replay()
        self.run_worker(work, name="skip", thread=True, exclusive=True, exit_on_error=False)

    def stop_skipping(self) -> None:
        """Let a skip end where it has come to."""
        if self.viewer.desk.replay is not None:
            self.viewer.desk.replay.stop()

    @on(Worker.StateChanged)
    def _skipped(self, event: Worker.StateChanged) -> None:
        if event.worker.name != "skip" or not event.worker.is_finished:
            return
        self.viewer.skipping, self.viewer.said = "", None
        if event.state is WorkerState.ERROR:
            self.page.say(str(event.worker.error), Role.CAUTION)
        self.page.redraw()
