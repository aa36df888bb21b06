"""The widget for a text that may be taller than the screen."""

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from cavewatch.screens.lines import Line, Part, reach
from cavewatch.screens.painting import ROLE_CLASSES, painted
from cavewatch.screens.plan import GUTTER


class Scrolled(ScrollView, can_focus=True, inherit_bindings=False):
    """Lines to read; it repaints only those that changed."""

    COMPONENT_CLASSES: ClassVar[set[str]] = ROLE_CLASSES
    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,k", "scroll(-1)", show=False),
        Binding("down,j", "scroll(1)", show=False),
        Binding("pageup", "scroll(-10)", show=False),
        Binding("pagedown", "scroll(10)", show=False),
        Binding("home", "scroll(-9999)", show=False),
        Binding("end", "scroll(9999)", show=False),
    ]

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.lines: tuple[Line, ...] = ()

    def show(self, *lines: Line) -> None:
        """Paint these lines; nothing happens if they are there already."""
        before, self.lines = self.lines, lines
        if len(before) != len(lines):
            self.virtual_size = Size(self.size.width, len(lines))
            self.refresh(layout=True)
            return
        top = self.scroll_offset.y
        for y, (old, new) in enumerate(zip(before, lines, strict=True)):
            if old != new:
                self.refresh(Region(0, y - top, GUTTER + reach(old, new), 1))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002
        """A row for each line."""
        return len(self.lines)

    def render_line(self, y: int) -> Strip:
        """One painted line."""
        row = y + self.scroll_offset.y
        line = self.lines[row] if row < len(self.lines) else ()
        return painted(self, (Part(" " * GUTTER), *line), self.size.width)

    def action_scroll(self, by: int) -> None:
        """Scroll by as many lines."""
        self.scroll_relative(y=by, animate=False)
