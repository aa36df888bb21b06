"""The list with a cursor, whatever its items are kept as."""

from abc import abstractmethod
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from cavewatch.screens.lines import Line, Part, Role
from cavewatch.screens.painting import ROLE_CLASSES, painted
from cavewatch.screens.plan import GUTTER


class CursorList(ScrollView, can_focus=True, inherit_bindings=False):
    """Items below each other, one of them under the cursor."""

    COMPONENT_CLASSES: ClassVar[set[str]] = ROLE_CLASSES
    ALLOW_SELECT = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,k", "move(-1)", "Up", show=False),
        Binding("down,j", "move(1)", "Down", show=False),
        Binding("pageup", "move(-5)", "Up", show=False),
        Binding("pagedown", "move(5)", "Down", show=False),
        Binding("home", "move(-999999)", "First", show=False),
        Binding("end", "move(999999)", "Last", show=False),
        Binding("enter", "open", "Open", show=False),
    ]

    class Opened(Message):
        """An item was chosen with Enter or a click."""

        def __init__(self, source: "CursorList", key: str) -> None:
            super().__init__()
            self.source = source
            self.key = key

        @property
        def control(self) -> "CursorList":
            """The list that sent it."""
            return self.source

    class Reached(Message):
        """The cursor came to another item."""

        def __init__(self, source: "CursorList", key: str) -> None:
            super().__init__()
            self.source = source
            self.key = key

        @property
        def control(self) -> "CursorList":
            """The list that sent it."""
            return self.source

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.cursor = 0

    # What a kind of list fills in

    @property
    @abstractmethod
    def count(self) -> int:
        """How many items there are."""

    @property
    @abstractmethod
    def height_in_rows(self) -> int:
        """Rows of all items."""

    @abstractmethod
    def key_at(self, index: int) -> str:
        """What tells an item from the others."""

    @abstractmethod
    def index_at(self, row: int) -> int:
        """The item that a row belongs to."""

    @abstractmethod
    def rows_of(self, index: int) -> range:
        """The rows of an item."""

    @abstractmethod
    def line_at(self, row: int) -> Line:
        """What stands in a row."""

    def mark_at(self, index: int) -> int:
        """The row of an item in which the cursor stands."""
        return self.rows_of(index).start

    # What follows from that

    @property
    def key(self) -> str | None:
        """Key of the item under the cursor; None in an empty list."""
        return self.key_at(self.cursor) if self.count else None

    def take_count(self) -> None:
        """An empty list cannot have the focus."""
        self.can_focus = bool(self.count)
        if not self.count and self.has_focus:
            self.screen.focus_next()

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002
        """A row for each line."""
        return self.height_in_rows

    def render_line(self, y: int) -> Strip:
        """One painted line, with the cursor in front of the chosen item."""
        row = y + self.scroll_offset.y
        width = self.size.width
        if row >= self.height_in_rows:
            return painted(self, (), width)
        here = row == self.mark_at(self.cursor)
        role = Role.STRONG if self.has_focus else Role.FAINT
        gutter = Part(("▸" if here else "").ljust(GUTTER), role)
        return painted(self, (gutter, *self.line_at(row)), width)

    def action_move(self, by: int) -> None:
        """Move the cursor by as many items."""
        if not self.count:
            return
        before, self.cursor = self.cursor, max(0, min(self.cursor + by, self.count - 1))
        rows = self.rows_of(self.cursor)
        self.scroll_to_region(Region(0, rows.start, 1, len(rows)), animate=False, force=True)
        for index in {before, self.cursor}:
            for row in self.rows_of(index):
                self.refresh_line(row)
        if before != self.cursor:
            self.post_message(self.Reached(self, self.key_at(self.cursor)))

    def go_to(self, key: str) -> None:
        """Move the cursor to the item of this key, if it is there."""
        for index in range(self.count):
            if self.key_at(index) == key:
                self.action_move(index - self.cursor)
                return

    def action_open(self) -> None:
        """Open the item under the cursor."""
        if self.key is not None:
            self.post_message(self.Opened(self, self.key))

    def on_click(self, event: events.Click) -> None:
        """Move the cursor to what was clicked, and open it; a heading is only read."""
        row = event.y + self.scroll_offset.y
        if row < self.height_in_rows:
            index = self.index_at(row)
            if row >= self.mark_at(index):
                self.action_move(index - self.cursor)
                self.action_open()
