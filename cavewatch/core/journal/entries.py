"""Entries: acts with their times, which of them count, and what corrects the others."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from cavewatch.core.journal.acts import Act, Made, Shelved, Suppressed, Testing, Voided


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the journal."""

    id: int
    """Number, rising in the order of writing."""
    at: float
    """When it happened [s since 1970 UTC]; a person may have typed it."""
    written: float
    """When it was written [s since 1970 UTC]."""
    by: str
    """Initials."""
    act: Act
    """What happened."""


def placed(entry: Entry, shift: float, typed: bool) -> Entry:
    """An entry that was written while the clock was not set, put where it belongs.

    Args:
        entry: as it was written.
        shift: by how much the clock was behind [s].
        typed: whether a person typed its time by the clock on the wall; that never moves, nor
            does the end of what began then. When wheels were made is told apart by itself.
    """
    written, act = entry.written + shift, entry.act
    if isinstance(act, Made):
        act = replace(
            act,
            made_at=_moved(act.made_at, act.made_ago, shift),
            renneted_at=_moved(act.renneted_at, act.renneted_ago, shift),
            moulded_at=_moved(act.moulded_at, act.moulded_ago, shift),
        )
    if typed:
        return replace(entry, written=written, act=act)
    if isinstance(act, Shelved | Suppressed | Testing):
        act = replace(act, until=act.until + shift)
    return replace(entry, at=entry.at + shift, written=written, act=act)


def _moved(at: float | None, ago: bool, shift: float) -> float | None:
    return at if at is None or not ago else at + shift


def corrections(entries: Iterable[Entry]) -> Mapping[int, Entry]:
    """The entry that voids each entry that does not count, by the number of the latter.

    Of several that void the same, the one that was written last; one that is itself void
    corrects nothing, which brings back what it voided.
    """
    found: dict[int, Entry] = {}
    for entry in sorted(entries, key=lambda entry: entry.id, reverse=True):
        if entry.id not in found and isinstance(entry.act, Voided):
            found.setdefault(entry.act.entry, entry)
    return found


def standing(entries: Iterable[Entry]) -> list[Entry]:
    """The entries that count, by the time of what happened; `Voided` ones are left out too."""
    written = list(entries)
    void = corrections(written)
    kept = (e for e in written if e.id not in void and not isinstance(e.act, Voided))
    return sorted(kept, key=lambda entry: (entry.at, entry.id))
