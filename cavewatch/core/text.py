"""Text for people: from outside, made safe to show; from inside, put into the maker's units."""

import re
from collections.abc import Callable, Mapping

VALUE = re.compile(r"\{(-?[0-9]{1,9}(?:\.[0-9]{1,9})?) (degC|K|g)\}")
"""A temperature, a difference of temperatures, a weight in a text: '{1.7 degC}', '{2 K}', '{9 g}'.

What reads the same in every system of units, such as per cent, stands there as it is.
"""

_BREAKS = re.compile("[\t-\r\x1c-\x1f\x85\u2028\u2029]")
"""Controls that part words: tabs, ends of lines, separators."""
_UNSHOWABLE = re.compile("[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
"""C0 and C1 controls, bidirectional embeddings, overrides and isolates, lone surrogates."""


def clean(text: str, limit: int) -> str:
    """The text without what a terminal could obey, in one line, of `limit` characters at most.

    Tabs and ends of lines become spaces; ordinary letters of any script stay.
    """
    return _UNSHOWABLE.sub("", _BREAKS.sub(" ", text))[:limit]


def braced(value: float, unit: str) -> str:
    """A value as `VALUE` finds it, to a thousandth: '{14.2 degC}'."""
    return f"{{{round(value, 3) + 0.0:.12g} {unit}}}"


def in_units(text: str, said: Mapping[str, Callable[[float], str]]) -> str:
    """The text with the values in braces as these words say them, by unit: degC, K and g.

    Braces that hold anything else stay as they are.
    """
    return VALUE.sub(lambda found: said[found[2]](float(found[1])), text)
