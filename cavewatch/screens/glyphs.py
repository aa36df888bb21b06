"""Signs for terminals that cannot show them: every line is put into ASCII, cell by cell."""

from functools import lru_cache

from rich.cells import cell_len
from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

_SIGNS = {
    **dict.fromkeys("─╌┄┈╴╶▔▁▂▃⎽", "-"),
    **dict.fromkeys("━╸╺", "="),
    **dict.fromkeys("│┃┆┊▏▎▍▌▐▕▊▋▉", "|"),
    **dict.fromkeys("┌┐└┘├┤┬┴┼╭╮╰╯┏┓┗┛┝┥┠┨", "+"),
    **dict.fromkeys("█▇▆▅▄▀▓■", "#"),
    **dict.fromkeys("░▒", "."),
    **dict.fromkeys("◂◀←‹«", "<"),
    **dict.fromkeys("▸▶→›»", ">"),
    **dict.fromkeys("▲↑△", "^"),
    **dict.fromkeys("▼↓▽", "v"),
    **dict.fromkeys("●◉○•⭘", "o"),
    **dict.fromkeys("–—−", "-"),
    **dict.fromkeys("‘’", "'"),
    **dict.fromkeys("“”", '"'),
    "·": ".",
    "…": "~",
    "×": "x",
    "°": " ",
    "\xa0": " ",
}
_DOTS = "_.-^"
"""A column of braille dots by the height of its highest dot."""
_TOP, _UPPER, _LOWER = 0b00001001, 0b00010010, 0b00100100


@lru_cache(2048)
def to_ascii(text: str) -> str:
    """The text in ASCII, taking as many cells as before."""
    if text.isascii():
        return text
    return "".join(c if c.isascii() else _sign(c) for c in text)


def _sign(character: str) -> str:
    if "\u2800" < character <= "\u28ff":
        dots = ord(character) - 0x2800
        levels = (_LOWER, _UPPER, _TOP)
        return _DOTS[max((n + 1 for n, mask in enumerate(levels) if dots & mask), default=0)]
    if character == "\u2800":
        return " "
    return _SIGNS.get(character, "?" * cell_len(character))


class AsciiFilter(LineFilter):
    """Puts all that the application paints into ASCII."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:  # noqa: ARG002
        """The segments with their text in ASCII."""
        return [Segment(to_ascii(text), style, control) for text, style, control in segments]


def needs_ascii(encoding: str | None, term: str) -> bool:
    """True for a terminal that shows no signs beyond ASCII.

    That is one whose encoding is not UTF-8, and the Linux console, whose fonts
    hold no braille.
    """
    return (encoding or "").lower().replace("-", "") != "utf8" or term == "linux"
