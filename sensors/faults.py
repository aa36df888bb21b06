"""How faults are worded: this package's error, and what may be quoted from outside."""

import re
from collections.abc import Sequence

from cavewatch.core.errors import CavewatchError

_ESCAPE_CODE = re.compile(r"\x1b(?:\[[0-?]*[ -/]*[@-~]?|\][^\x07\x1b]*(?:\x07|\x1b\\)?|[ -~]?)")
_LONGEST = 40
"""What is quoted from outside is cut after this many characters."""


class SensorError(CavewatchError):
    """A port, a line or a log file that cannot be read as it is set up."""


def shown(text: str, longest: int = _LONGEST) -> str:
    """Text from outside, fit to be shown: no escape codes, no control characters, no markup.

    Square brackets become round ones, because screens may take them for markup.
    """
    plain = _ESCAPE_CODE.sub("", text).translate(str.maketrans("[]\ufffd", "()?"))
    clean = "".join(mark if mark.isprintable() else "?" for mark in plain)
    return clean if len(clean) <= longest else f"{clean[: longest - 3]}..."


def listed(names: Sequence[str], most: int = 8) -> str:
    """Names from outside, quoted and joined: "'time', 'T', 'H' and 4 more"."""
    words = ", ".join(f"'{shown(name)}'" for name in names[:most])
    return f"{words} and {len(names) - most} more" if len(names) > most else words
