"""The journal as a record: every entry that was ever written, with what became of it."""

from collections.abc import Iterable
from dataclasses import dataclass

from cavewatch.core.journal import Entry, corrections


@dataclass(frozen=True, slots=True)
class Line:
    """One entry, as it was written."""

    entry: Entry
    struck_by: Entry | None = None
    """The entry (its act is a `Voided`) that says it was a mistake; None while it counts."""


def lines(entries: Iterable[Entry]) -> tuple[Line, ...]:
    """Every entry by the time of what happened, those that do not count included.

    A `Voided` is a line of its own too; where it was itself voided, its entry counts again.
    """
    entries = tuple(entries)
    struck = corrections(entries)
    written = sorted(entries, key=lambda entry: (entry.at, entry.id))
    return tuple(Line(entry, struck.get(entry.id)) for entry in written)
