"""Text from outside, made safe to show: no escape code, no trick with the order of letters."""

import re

_BREAKS = re.compile("[\t-\r\x1c-\x1f\x85\u2028\u2029]")
"""Controls that part words: tabs, ends of lines, separators."""
_UNSHOWABLE = re.compile("[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
"""C0 and C1 controls, bidirectional embeddings, overrides and isolates, lone surrogates."""


def clean(text: str, limit: int) -> str:
    """The text without what a terminal could obey, in one line, of `limit` characters at most.

    Tabs and ends of lines become spaces; ordinary letters of any script stay.
    """
    return _UNSHOWABLE.sub("", _BREAKS.sub(" ", text))[:limit]
