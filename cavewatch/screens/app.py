"""The application."""

import asyncio
import signal
from collections.abc import Sequence
from typing import ClassVar

from textual.app import App
from textual.filter import LineFilter

from cavewatch.screens import terminal
from cavewatch.screens.desk import Desk
from cavewatch.screens.glyphs import AsciiFilter
from cavewatch.screens.home import HomeScreen
from cavewatch.screens.lines import clean
from cavewatch.screens.theme import CELLAR, ROLES, SIXTEEN, ReverseFilter, theme_for


class DashboardApp(App[None]):
    """The dashboard of one dairy."""

    CSS_PATH = "dashboard.tcss"
    COMMANDS: ClassVar = set()

    def __init__(self, desk: Desk, ascii_only: bool | None = None, bell: bool = False) -> None:
        """Make it.

        Args:
            desk: the dairy.
            ascii_only: whether to keep to ASCII; None to find out from the terminal.
            bell: whether the terminal's bell rings when an alarm calls anew.
        """
        # Textual drops colours only from an ANSI theme, and looks for one here.
        super().__init__(ansi_color=True if terminal.no_color() else None)
        self.desk = desk
        self._rings = bell
        self.title = clean(desk.title)
        self.animation_level = "none"
        ascii_only = terminal.shows_ascii_only() if ascii_only is None else ascii_only
        self.register_theme(CELLAR)
        self.register_theme(SIXTEEN)
        theme = theme_for(self.console.color_system, self.no_color)
        self.theme = theme.name
        self._reverse = ReverseFilter(enabled=theme is SIXTEEN)
        self._ascii = AsciiFilter(enabled=ascii_only)

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """The roles that the stylesheet names."""
        return ROLES

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Textual's own between the two of this package."""
        every = [self._reverse, *super().get_line_filters(), self._ascii]
        return [each for each in every if each.enabled]

    def get_default_screen(self) -> HomeScreen:
        """The home screen."""
        return HomeScreen(self.desk, self._rings)

    def on_mount(self) -> None:
        """Leave the terminal in order when told to end or when it is gone."""
        if self.is_headless:
            return
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, signal.SIGHUP):
            loop.add_signal_handler(number, self.exit)
        if not terminal.is_gone():
            terminal.leave_when_gone(lambda: loop.call_soon_threadsafe(self.exit))
