"""Text for people: from outside, made safe to show; from inside, put into the maker's units."""

import re
from collections.abc import Callable

_VALUE = re.compile(r"\{(-?\d+(?:\.\d+)?) (degC|g)\}")
"""A temperature or a weight within a text: '{1.7 degC}', '{9 g}'."""

_BREAKS = re.compile("[\t-\r\x1c-\x1f\x85\u2028\u2029]")
"""Controls that part words: tabs, ends of lines, separators."""
_UNSHOWABLE = re.compile("[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
"""C0 and C1 controls, bidirectional embeddings, overrides and isolates, lone surrogates."""


def clean(text: str, limit: int) -> str:
    """The text without what a terminal could obey, in one line, of `limit` characters at most.

    Tabs and ends of lines become spaces; ordinary letters of any script stay.
    """
    return _UNSHOWABLE.sub("", _BREAKS.sub(" ", text))[:limit]


def in_units(text: str, temperature: Callable[[float], str], mass: Callable[[float], str]) -> str:
    """The text with the temperatures [degC] and weights [g] in braces as these words say them."""

    def said(found: re.Match[str]) -> str:
        return (temperature if found[2] == "degC" else mass)(float(found[1]))

    return _VALUE.sub(said, text)
