"""A journal as it stands in a file: lines that may become entries."""

import csv
import io
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Act
from cavewatch.core.journal.columns import COLUMNS, from_cells
from cavewatch.core.record.cells import unguarded
from cavewatch.core.text import clean
from cavewatch.store import journal_file
from sensors.encoding import HEAD, told
from sensors.faults import listed, shown

_OWN = ("at", "kind")
_MORE = ("entry", "written", "by")
_DERIVED = ("what", "struck_by", "struck_why", "dairy")
"""Columns of an export that say again what others say."""
_DATED = re.compile(r"\d{4}-\d\d-\d\d[T ]\d.*", re.ASCII)
_LARGEST = 50_000_000
"""A journal is read whole; a larger file is none [bytes]. Judgement."""


@dataclass(frozen=True, slots=True)
class Draft:
    """One line of the file."""

    line: int
    """In the file; of the journal file, the number of its entry."""
    number: int | None
    """Its number in the journal that it comes from; None for a list of a maker's own."""
    at: float
    """When it happened [s since 1970 UTC]."""
    written: float | None
    """When it was written there [s since 1970 UTC]; None: it is written now."""
    by: str
    """Initials."""
    act: Act


def drafts(path: Path, present: float, zone: ZoneInfo, initials: str) -> list[Draft]:
    """What a file holds, in the order in which it was written.

    Args:
        path: a journal file (JSON lines), or CSV.
        present: nothing happened later that is written now [s since 1970 UTC].
        zone: of times without an offset.
        initials: of lines that name nobody.

    Raises:
        CavewatchError: with all that is wrong, a line of text each; a journal is read whole or
            not at all.
    """
    try:
        raw = path.read_bytes() if path.stat().st_size <= _LARGEST else None
    except OSError as fault:
        raise CavewatchError(f"{shown(str(path), 200)} cannot be read: {fault.strerror}") from fault
    if raw is None:
        raise CavewatchError(f"{shown(path.name)} is too large for a journal")
    text = raw.decode(told(raw[:HEAD]), "replace")
    if text.lstrip().startswith("{"):
        found = [Draft(e.id, e.id, e.at, e.written, e.by, e.act) for e in journal_file.read(path)]
    else:
        found = _table(shown(path.name), text, present, zone, initials)
    late = [draft for draft in found if draft.written is not None and draft.written > present]
    if late:
        raise CavewatchError(
            f"{shown(path.name)}: entry {late[0].number} was written later than it is now by this "
            "machine's clock; set the clock"
        )
    return sorted(found, key=lambda draft: draft.number or 0)


def _table(name: str, text: str, present: float, zone: ZoneInfo, initials: str) -> list[Draft]:
    """The rows of a CSV file."""
    first = text.split("\n", 1)[0]
    sign = max(",;\t", key=first.count)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=sign)
    titles = [title.strip() for title in next(rows, [])]
    _check_titles(name, titles)
    found: list[Draft] = []
    faults: list[str] = []
    try:
        for cells in rows:
            if not any(cell.strip() for cell in cells):
                continue
            try:
                found.append(_row(rows.line_num, titles, cells, present, zone, initials))
            except CavewatchError as fault:
                faults.append(f"{name}, line {rows.line_num}: {clean(str(fault), 300)}")
    except csv.Error as fault:
        faults.append(f"{name}, line {rows.line_num}: {fault}")
    numbers = [draft.number for draft in found if draft.number is not None]
    if len(set(numbers)) != len(numbers):
        faults.append(f"{name}: a number in 'entry' stands twice")
    if faults:
        raise CavewatchError("\n".join(faults))
    return found


def _check_titles(name: str, titles: list[str]) -> None:
    known = (*_OWN, *_MORE, *_DERIVED, *COLUMNS)
    missing = [title for title in _OWN if title not in titles]
    if missing:
        raise CavewatchError(
            f"{name}, line 1: there is no column {listed(missing)} among {listed(titles)}; a "
            "journal has titles such as 'at,by,kind,wheels,grams_g'"
        )
    unknown = [title for title in titles if title and title not in known]
    if unknown:
        raise CavewatchError(
            f"{name}, line 1: {listed(unknown)} is no column of a journal; write any of "
            f"{', '.join(known)}"
        )
    if len(set(filter(None, titles))) != len(list(filter(None, titles))):
        raise CavewatchError(f"{name}, line 1: a title stands twice")


def _row(
    line: int,
    titles: list[str],
    cells: list[str],
    present: float,
    zone: ZoneInfo,
    initials: str,
) -> Draft:
    if any(cell.strip() for cell in cells[len(titles) :]):
        raise CavewatchError(f"it has {len(cells)} cells where the titles are {len(titles)}")
    row = {title: unguarded(cell) for title, cell in zip(titles, cells, strict=False) if title}
    instant = _instant(present, zone)
    at = instant(row["at"].strip() if "at" in row else "")
    written = instant(row["written"].strip()) if row.get("written", "").strip() else None
    if written is None and at > present:
        raise CavewatchError(f"'at' is '{shown(row['at'])}', which is still to come")
    by = row.get("by", "").strip() or initials
    if not by:
        raise CavewatchError("'by' is empty; write initials, or say them: --by AB")
    number = row.get("entry", "").strip()
    if number and not (number.isascii() and number.isdecimal() and len(number) < 12):
        raise CavewatchError(f"'entry' is '{shown(number)}'; it must be a whole number")
    act = from_cells({key: row[key] for key in ("kind", *COLUMNS) if key in row}, instant)
    return Draft(line, int(number) if number else None, at, written, by, act)


def _instant(present: float, zone: ZoneInfo) -> Callable[[str], float]:
    """Reads a time in a file, where one that counts from now would mean another each time."""

    def instant(text: str) -> float:
        if not _DATED.fullmatch(text):
            raise CavewatchError(
                f"'{shown(text)}' is not a time; write it with its date, such as '2026-03-01 16:30'"
            )
        return clock.instant(text, present, zone)

    return instant
