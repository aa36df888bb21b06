"""Lines of text with roles: what the pure functions of this package make and the widgets paint.

A line is a tuple of parts; nothing in it is ever read as markup, and `clean`
keeps out what a terminal could obey.
"""

from collections.abc import Iterable
from enum import StrEnum
from typing import NamedTuple

from rich.cells import cell_len, set_cell_size

from cavewatch.core import text


class Role(StrEnum):
    """How a part is meant to be seen; the theme decides what that looks like."""

    PLAIN = "plain"
    FAINT = "faint"
    """Labels and marks that are always there."""
    STRONG = "strong"
    """What is read first on a normal day."""
    CAUTION = "caution"
    """Not right, but somebody knows or it can wait."""
    ALERT = "alert"
    """Abnormal: the only bright thing."""


class Part(NamedTuple):
    """A run of text in one role."""

    text: str
    role: Role = Role.PLAIN


Line = tuple[Part, ...]


class Item(NamedTuple):
    """One entry of a list."""

    key: str
    """What tells it from the others, from one picture to the next."""
    lines: tuple[Line, ...]
    above: int = 0
    """How many of the lines head the item and those that follow, such as with their day."""


LONGEST = 2000
"""Characters of an outside text that are ever shown."""


def clean(outside: str) -> str:
    """Text from outside as one line without what a terminal could obey."""
    return text.clean(outside, LONGEST)


def text_of(line: Line) -> str:
    """The line without its roles."""
    return "".join(part.text for part in line)


def width_of(line: Iterable[Part]) -> int:
    """Cells that the line takes."""
    return sum(cell_len(part.text) for part in line)


def cut(words: str, width: int) -> str:
    """Text of at most this many cells; an ellipsis shows where some is missing."""
    if cell_len(words) <= width:
        return words
    return "" if width < 1 else set_cell_size(words, width - 1).rstrip() + "…"


def pad(words: str, width: int, right: bool = False) -> str:
    """Text of just this many cells, to the left or the right of the blanks."""
    words = cut(words, width)
    blanks = " " * (width - cell_len(words))
    return blanks + words if right else words + blanks


def cell(part: Part, width: int, right: bool = False) -> Line:
    """The part in just this many cells; the blanks beside it have no role."""
    words = cut(part.text, width)
    blanks = Part(" " * (width - cell_len(words)))
    return (blanks, Part(words, part.role)) if right else (Part(words, part.role), blanks)


def fit(line: Line, width: int) -> Line:
    """The line in at most this many cells."""
    if width_of(line) <= width:
        return line
    kept: list[Part] = []
    left = width
    for part in line:
        size = cell_len(part.text)
        if size >= left:
            kept.append(Part(cut(part.text + " ", left), part.role))
            break
        kept.append(part)
        left -= size
    return tuple(kept)


def reach(old: Line, new: Line) -> int:
    """Cells from the left in which two lines differ; what is repainted ends there."""
    if width_of(old) != width_of(new):
        return max(width_of(old), width_of(new))
    same = 0
    for before, after in zip(reversed(old), reversed(new), strict=False):
        if before != after:
            break
        same += cell_len(after.text)
    return width_of(new) - same


def spread(left: Line, right: Line, width: int) -> Line:
    """One line with something at each end; the left end gives way where both do not fit."""
    right = fit(right, width)
    space = width - width_of(right)
    left = fit(left, max(0, space - 1))
    return (*left, Part(" " * (space - width_of(left))), *right)


def wrap(words: str, width: int) -> list[str]:
    """Text in lines of at most this many cells, broken between words where possible."""
    lines: list[str] = []
    line = ""
    for word in words.split():
        rest = word
        while cell_len(rest) > width > 0:
            if line:
                lines.append(line)
                line = ""
            head = set_cell_size(rest, width).rstrip()
            lines.append(head)
            rest = rest[len(head) :]
        if line and cell_len(line) + 1 + cell_len(rest) > width:
            lines.append(line)
            line = rest
        elif rest:
            line = f"{line} {rest}" if line else rest
    return [*lines, line] if line else lines
