"""Manners towards the terminal that a command prints on."""

import locale
import os
import shutil
import sys

_NARROWEST, _WIDEST = 24, 100
_SIGNS = str.maketrans({"–": "-", "−": "-", "·": ";", "×": "x", "’": "'", "°": ""})


def shows_screens() -> bool:
    """False for a dumb terminal, and where input or errors (Textual paints there) go elsewhere."""
    dumb = os.environ.get("TERM", "") == "dumb"
    return not dumb and sys.stdin.isatty() and sys.stderr.isatty()


def width() -> int:
    """How wide lines of text may be [characters]: $COLUMNS, the terminal's width, else 80."""
    return min(_WIDEST, max(_NARROWEST, shutil.get_terminal_size((80, 24)).columns))


def showable(text: str) -> str:
    """The text with only signs that the standard output can take."""
    encodings = [sys.stdout.encoding or "ascii"]
    if sys.stdout.isatty():  # Python writes UTF-8 in the locale C, whatever the terminal takes
        encodings.append(locale.getencoding())
    for encoding in encodings:
        try:
            text.encode(encoding)
        except UnicodeEncodeError:
            text = text.translate(_SIGNS).encode(encoding, "replace").decode(encoding)
    return text
