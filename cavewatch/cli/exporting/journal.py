"""The journal as a table: every entry that was ever written, with what became of it."""

from collections.abc import Callable, Iterable, Iterator

from cavewatch.cli.exporting.files import Row
from cavewatch.core.journal import Entry, Voided, kind_of
from cavewatch.core.journal.columns import COLUMNS as OF_ACTS
from cavewatch.core.journal.columns import to_cells
from cavewatch.core.record import Line, lines
from cavewatch.screens.wording import act_words
from cavewatch.units import Display

COLUMNS = (
    *("entry", "at", "written", "by", "kind", "what", "struck_by", "struck_why"),
    *OF_ACTS,
    "dairy",
)
"""`what` says the rest in words; `struck_by` names the entry by which this one does not count."""


def chosen(entries: Iterable[Entry], wanted: Callable[[Entry], bool]) -> tuple[Line, ...]:
    """The lines that are wanted, each with the one that strikes it, by the time of what
    happened.
    """
    every = lines(entries)
    kept = {line.entry.id for line in every if wanted(line.entry)}
    # Later entries strike earlier ones, and may be struck themselves.
    for line in sorted(every, key=lambda line: line.entry.id):
        if isinstance(line.entry.act, Voided) and line.entry.act.entry in kept:
            kept.add(line.entry.id)
    return tuple(line for line in every if line.entry.id in kept)


def rows(
    found: Iterable[Line], display: Display, iso: Callable[[float], str], dairy: str
) -> Iterator[Row]:
    """A row for each line."""
    for line in found:
        entry, struck = line.entry, line.struck_by
        cells = to_cells(entry.act, iso)
        yield (
            entry.id,
            iso(entry.at),
            iso(entry.written),
            entry.by,
            kind_of(entry.act),
            act_words(entry.act, display),
            None if struck is None else struck.id,
            struck.act.why if struck is not None and isinstance(struck.act, Voided) else None,
            *(cells.get(column) for column in OF_ACTS),
            dairy,
        )
