"""The widgets that paint lines: a still one, and a list with a cursor."""

from collections.abc import Sequence
from typing import ClassVar

from rich.segment import Segment
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.widget import Widget

from cavewatch.screens.lines import Item, Line, Part, Role, reach
from cavewatch.screens.plan import GUTTER

ROLE_CLASSES = {f"role--{role}" for role in Role}


def painted(widget: Widget, line: Line, width: int) -> Strip:
    """The line in the widget's styles."""
    segments = [
        Segment(part.text, widget.get_component_rich_style(f"role--{part.role}"))
        for part in line
        if part.text
    ]
    return Strip(segments).adjust_cell_length(width, widget.rich_style)


class Lines(Widget):
    """Some lines of text."""

    COMPONENT_CLASSES: ClassVar[set[str]] = ROLE_CLASSES
    ALLOW_SELECT = False

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.lines: tuple[Line, ...] = ()

    def show(self, *lines: Line) -> None:
        """Paint these lines; nothing happens if they are there already."""
        if lines == self.lines:
            return
        before, self.lines = self.lines, lines
        if len(before) != len(lines):
            self.refresh(layout=True)
            return
        for y, (old, new) in enumerate(zip(before, lines, strict=True)):
            if old != new:
                self.refresh(Region(0, y, reach(old, new), 1))

    def get_content_width(self, container: Size, viewport: Size) -> int:  # noqa: ARG002
        """All there is."""
        return container.width

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002
        """A row for each line."""
        return len(self.lines)

    def render_line(self, y: int) -> Strip:
        """One painted line."""
        return painted(self, self.lines[y] if y < len(self.lines) else (), self.size.width)


class ItemList(ScrollView, can_focus=True):
    """A list with a cursor; it repaints only lines that changed."""

    COMPONENT_CLASSES: ClassVar[set[str]] = ROLE_CLASSES
    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,k", "move(-1)", "Up", show=False),
        Binding("down,j", "move(1)", "Down", show=False),
        Binding("pageup", "move(-5)", "Up", show=False),
        Binding("pagedown", "move(5)", "Down", show=False),
        Binding("home", "move(-9999)", "First", show=False),
        Binding("end", "move(9999)", "Last", show=False),
        Binding("enter", "open", "Open", show=False),
    ]

    class Opened(Message):
        """An item was chosen with Enter or a click."""

        def __init__(self, source: "ItemList", key: str) -> None:
            super().__init__()
            self.source = source
            self.key = key

        @property
        def control(self) -> "ItemList":
            """The list that sent it."""
            return self.source

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.items: tuple[Item, ...] = ()
        self.cursor = 0
        self._rows: list[tuple[int, Line]] = []

    @property
    def key(self) -> str | None:
        """Key of the item under the cursor; None in an empty list."""
        return self.items[self.cursor].key if self.items else None

    def show(self, items: Sequence[Item]) -> None:
        """Paint these items; the cursor stays on the item that it is on, by its key."""
        items = tuple(items)
        if items == self.items:
            return
        key, cursor = self.key, self.cursor
        keys = [item.key for item in items]
        self.items = items
        self.cursor = keys.index(key) if key in keys else max(0, min(cursor, len(items) - 1))
        self.can_focus = bool(items)
        if not items and self.has_focus:
            self.screen.focus_next()
        before = self._rows
        self._rows = [(index, line) for index, item in enumerate(items) for line in item.lines]
        if len(before) != len(self._rows):
            self.virtual_size = Size(self.size.width, len(self._rows))
            self.refresh(layout=True)
            return
        top = self.scroll_offset.y
        for y, (old, new) in enumerate(zip(before, self._rows, strict=True)):
            if old[0] != new[0] or (cursor != self.cursor and new[0] in (cursor, self.cursor)):
                self.refresh_line(y)
            elif old[1] != new[1]:
                self.refresh(Region(0, y - top, GUTTER + reach(old[1], new[1]), 1))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002
        """A row for each line."""
        return len(self._rows)

    def render_line(self, y: int) -> Strip:
        """One painted line, with the cursor in front of the chosen item."""
        row = y + self.scroll_offset.y
        width = self.size.width
        if row >= len(self._rows):
            return painted(self, (), width)
        index, line = self._rows[row]
        first = row == 0 or self._rows[row - 1][0] != index
        here = index == self.cursor
        role = Role.STRONG if self.has_focus else Role.FAINT
        gutter = Part(("▸" if here and first else "").ljust(GUTTER), role)
        return painted(self, (gutter, *line), width)

    def action_move(self, by: int) -> None:
        """Move the cursor by as many items."""
        if not self.items:
            return
        before, self.cursor = self.cursor, max(0, min(self.cursor + by, len(self.items) - 1))
        rows = [y for y, (index, _) in enumerate(self._rows) if index == self.cursor]
        self.scroll_to_region(Region(0, rows[0], 1, len(rows)), animate=False, force=True)
        for y, (index, _) in enumerate(self._rows):
            if index in (before, self.cursor):
                self.refresh_line(y)

    def action_open(self) -> None:
        """Open the item under the cursor."""
        if self.key is not None:
            self.post_message(self.Opened(self, self.key))

    def on_click(self, event: events.Click) -> None:
        """Move the cursor to what was clicked, and open it."""
        row = event.y + self.scroll_offset.y
        if row < len(self._rows):
            self.action_move(self._rows[row][0] - self.cursor)
            self.action_open()
