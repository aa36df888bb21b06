"""What every application of this package has: colours, signs, manners towards the terminal."""

import asyncio
import signal
from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar, TypeVar

from textual.app import App
from textual.filter import LineFilter

from cavewatch.screens import terminal, theme
from cavewatch.screens.glyphs import AsciiFilter

Result = TypeVar("Result")


class TerminalApp(App[Result]):
    """An application that paints by roles, and leaves its terminal in order."""

    CSS_PATH = Path(__file__).with_name("dashboard.tcss")  # not beside a subclass
    COMMANDS: ClassVar = set()

    def __init__(self, ascii_only: bool | None = None) -> None:
        """Make it.

        Args:
            ascii_only: whether to keep to ASCII; None to find out from the terminal.
        """
        # Textual drops colours only from an ANSI theme, and looks for one here.
        super().__init__(ansi_color=True if terminal.no_color() else None)
        self.animation_level = "none"
        ascii_only = terminal.shows_ascii_only() if ascii_only is None else ascii_only
        self.themes = theme.offered(self.console.color_system, self.no_color, terminal.is_light())
        """What the terminal can show, the one to begin with first."""
        for each in self.themes:
            self.register_theme(each)
        self._reverse = theme.ReverseFilter()
        self._ascii = AsciiFilter(enabled=ascii_only)
        self.theme = self.themes[0].name

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """The roles that the stylesheet names."""
        return theme.ROLES

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Textual's own between the two of this package."""
        self._reverse.enabled = self.current_theme.ansi
        every = [self._reverse, *super().get_line_filters(), self._ascii]
        return [each for each in every if each.enabled]

    @property
    def ascii_only(self) -> bool:
        """Whether the terminal shows no signs beyond ASCII."""
        return self._ascii.enabled

    def on_mount(self) -> None:
        """Leave the terminal in order when told to end or when it is gone."""
        if self.is_headless:
            return
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, signal.SIGHUP):
            loop.add_signal_handler(number, self.exit)
        if not terminal.is_gone():
            terminal.leave_when_gone(lambda: loop.call_soon_threadsafe(self.exit))
