"""A raster of dots, two across and four up in each cell, and the sign that shows a cell's dots."""

from collections.abc import Iterable, Sequence

ACROSS, UP = 2, 4
"""Dots of a cell."""
_BITS = ((0x40, 0x80), (0x04, 0x20), (0x02, 0x10), (0x01, 0x08))
"""Braille bits of a cell, from the lowest dot up, left and right."""
_TALL = 3
"""A run of so many dots in a cell is upright where there is no braille."""

Cell = tuple[int, int]
"""Row from the top and column."""


class Raster:
    """Dots, by cell."""

    def __init__(self, columns: int, rows: int) -> None:
        """An empty one of so many cells."""
        self.columns, self.rows = columns, rows
        self.bits: dict[Cell, int] = {}

    def dot(self, across: int, level: int) -> None:
        """Set one dot, counted from the left and from below."""
        row, up = divmod(level, UP)
        cell = self.rows - 1 - row, across // ACROSS
        self.bits[cell] = self.bits.get(cell, 0) | _BITS[up][across % ACROSS]

    def line(self, levels: Sequence[int | None]) -> None:
        """A line through one level for each dot across; None leaves a gap."""
        before: int | None = None
        for across, level in enumerate(levels):
            if level is not None:
                start = level if before is None else before + (level > before) - (level < before)
                for each in range(min(start, level), max(start, level) + 1):
                    self.dot(across, each)
            before = level

    def tint(self, across: int, levels: Iterable[int]) -> None:
        """Every other dot of these, so that they are seen as grey behind a line."""
        for level in levels:
            if (across + level) % 2 == 0:
                self.dot(across, level)


def braille(bits: int) -> str:
    """The sign with these dots."""
    return chr(0x2800 + bits)


def ascii_sign(bits: int) -> str:
    """A sign of a line that runs through these dots, in ASCII: low, middle, high or upright."""
    levels = [up for up, pair in enumerate(_BITS) if bits & (pair[0] | pair[1])]
    if len(levels) >= _TALL:
        return "|"
    return "_" if levels[-1] == 0 else "'" if levels[0] == UP - 1 else "-"
