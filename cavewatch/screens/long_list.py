"""The widget for very many items of one line each, of which only those that are seen are made."""

from collections.abc import Callable, Sequence

from textual.geometry import Region, Size

from cavewatch.screens.cursor import CursorList
from cavewatch.screens.lines import Line, reach
from cavewatch.screens.plan import GUTTER


class LongList(CursorList):
    """A list that asks for a line when it is to be painted."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._keys: Sequence[str] = ()
        self._line_of: Callable[[str], Line] = lambda _: ()
        self._made: dict[int, Line] = {}

    @property
    def count(self) -> int:
        """How many items there are."""
        return len(self._keys)

    @property
    def height_in_rows(self) -> int:
        """One for each."""
        return len(self._keys)

    def key_at(self, index: int) -> str:
        """What tells an item from the others."""
        return self._keys[index]

    def index_at(self, row: int) -> int:
        """The item of that row."""
        return row

    def rows_of(self, index: int) -> range:
        """One row."""
        return range(index, index + 1)

    def line_at(self, row: int) -> Line:
        """The line, made now unless it was seen before."""
        if row not in self._made:
            self._made[row] = self._line_of(self._keys[row])
        return self._made[row]

    def show(self, keys: Sequence[str], line_of: Callable[[str], Line]) -> None:
        """Paint the lines of these keys; the cursor stays on the item that it is on.

        Of a list that is scrolled down, what is seen stays where it is while new items
        come on top.
        """
        old, cursor, known = self._made, self.cursor, self._keys
        key = self.key
        same = len(known) == len(keys) and list(known) == list(keys)
        self._keys, self._line_of, self._made = keys, line_of, {}
        top = self.scroll_offset.y
        seen = range(top, min(top + self.size.height, len(keys)))
        if same:
            for row in seen:
                if row in old and old[row] != self.line_at(row):
                    width = GUTTER + reach(old[row], self.line_at(row))
                    self.refresh(Region(0, row - top, width, 1))
            return
        try:
            self.cursor = keys.index(key) if key is not None and cursor else 0
        except ValueError:
            self.cursor = max(0, min(cursor, len(keys) - 1))
        self.take_count()
        self.virtual_size = Size(self.size.width, len(keys))
        if top:
            self.scroll_to(y=top + self.cursor - cursor, animate=False, force=True)
        self.refresh(layout=len(known) != len(keys))
