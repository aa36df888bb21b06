"""The screen that opens behind a line."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from cavewatch.screens.lines import Line, clean
from cavewatch.screens.painted import Lines

WIDEST = 100
_FRAME = 7
"""Cells that border, padding and scroll bar take."""

Body = Callable[[int], list[Line]]
"""The lines for a width [cells]."""


class Detail(ModalScreen[str | None]):
    """Text to read; it closes with the key of a command, if one was pressed."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,q", "close", "Close"),
        Binding("up,k", "scroll(-1)", "Up", show=False),
        Binding("down,j", "scroll(1)", "Down", show=False),
        Binding("pageup", "scroll(-10)", "Up", show=False),
        Binding("pagedown,space", "scroll(10)", "Down", show=False),
    ]

    def __init__(self, title: str, body: Body, keys: Sequence[str] = (), foot: str = "") -> None:
        """Make it.

        Args:
            title: stands on top.
            body: gives the text; asked again every second.
            keys: keys of commands that can be given here.
            foot: names these keys.
        """
        super().__init__()
        self._heading = title
        self._body = body
        self._keys = tuple(keys)
        self._foot = foot

    def compose(self) -> ComposeResult:
        """A frame with the text and the keys below it."""
        with VerticalScroll(classes="panel", can_focus=False):
            yield Static(clean(self._heading), classes="panel-title", markup=False)
            yield Lines(id="body")
            yield Static(f"{self._foot}esc close", classes="panel-foot", markup=False)

    def on_mount(self) -> None:
        """Show the text and keep it fresh."""
        self._show()
        self.set_interval(1, self._show)

    def on_resize(self) -> None:
        """Break the lines anew."""
        self._show()

    def _show(self) -> None:
        width = min(self.app.size.width, WIDEST) - _FRAME
        self.query_one(Lines).show(*self._body(width))

    def on_key(self, event: events.Key) -> None:
        """Give a command that belongs to what is shown."""
        if event.key in self._keys:
            event.stop()
            self.dismiss(event.key)

    def action_close(self) -> None:
        """Back to the dashboard."""
        self.dismiss(None)

    def action_scroll(self, by: int) -> None:
        """Scroll by as many lines."""
        self.query_one(VerticalScroll).scroll_relative(y=by, animate=False)
