"""The widgets that paint lines: a still one, and a list of items with a cursor."""

from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate
from typing import ClassVar

from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

from cavewatch.screens.cursor import CursorList
from cavewatch.screens.lines import Item, Line, reach
from cavewatch.screens.painting import ROLE_CLASSES, painted
from cavewatch.screens.plan import GUTTER


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


class ItemList(CursorList):
    """A list of items, each of some lines; it repaints only lines that changed."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.items: tuple[Item, ...] = ()
        self._starts: list[int] = [0]
        self._rows: list[tuple[int, Line]] = []

    @property
    def count(self) -> int:
        """How many items there are."""
        return len(self.items)

    @property
    def height_in_rows(self) -> int:
        """Rows of all items."""
        return len(self._rows)

    def key_at(self, index: int) -> str:
        """The item's own."""
        return self.items[index].key

    def index_at(self, row: int) -> int:
        """The item that a row belongs to."""
        return bisect_right(self._starts, row) - 1

    def rows_of(self, index: int) -> range:
        """The rows of an item."""
        return range(self._starts[index], self._starts[index + 1])

    def mark_at(self, index: int) -> int:
        """The first row below what heads the item."""
        return self._starts[index] + self.items[index].above

    def line_at(self, row: int) -> Line:
        """What stands in a row."""
        return self._rows[row][1]

    def show(self, items: Sequence[Item]) -> None:
        """Paint these items; the cursor stays on the item that it is on, by its key."""
        items = tuple(items)
        if items == self.items:
            return
        key, cursor = self.key, self.cursor
        keys = [item.key for item in items]
        self.items = items
        self.cursor = keys.index(key) if key in keys else max(0, min(cursor, len(items) - 1))
        self.take_count()
        before = self._rows
        self._starts = list(accumulate((len(item.lines) for item in items), initial=0))
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
