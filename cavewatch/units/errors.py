"""What is raised when a typed value cannot be read."""

from cavewatch.core.errors import CavewatchError

_LONGEST = 40


class UnitError(CavewatchError):
    """A typed value that cannot be read; the text says what may be written instead."""


def quoted(text: str) -> str:
    """The text in quotation marks, fit for a terminal: cut short, control characters replaced."""
    shown = "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)
    return f"'{shown if len(shown) <= _LONGEST else shown[: _LONGEST - 1] + '…'}'"
