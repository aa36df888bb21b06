"""Text in the cells of a CSV file that a spreadsheet may open: never taken for a formula.

A spreadsheet calculates what begins with one of a few signs, and one that parts
cells at semicolons sees a beginning after each of those too. There an apostrophe
is put before the sign, and before an apostrophe, so that it can be taken away
again without loss.
"""

import re

_BEGIN = r"""(^|[;\t])([\s"]*)"""
_SIGN = "[=+\\-@'\t\r＝＋－＠]"
_BARE = re.compile(f"{_BEGIN}({_SIGN})")
_GUARDED = re.compile(f"{_BEGIN}'({_SIGN})")


def guarded(text: str) -> str:
    """The text as it is written into a cell."""
    return _BARE.sub(r"\1\2'\3", text)


def unguarded(cell: str) -> str:
    """The text of a cell that `guarded` gave; other text stays as it is."""
    return _GUARDED.sub(r"\1\2\3", cell)


def number(value: float) -> str:
    """A number in the fewest digits that give it back, without an idle decimal."""
    return repr(value).removesuffix(".0")
