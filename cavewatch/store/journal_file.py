"""Journal files: the maker's entries as text, one JSON object a line.

    {"id": 3, "at": "2026-03-02T07:10:00+00:00", "written": "2026-03-02T07:12:00+00:00",
     "by": "MK", "kind": "turned", "wheels": [7, 8]}

(on one line). `at` is when it happened and `written` when it was written, both
ISO 8601 with offset; the rest is the plain form of the act (`core.journal`).
"""

import json
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Entry, JournalError, from_plain, to_plain
from cavewatch.core.text import clean

_OWN = ("id", "at", "written", "by")
"""Keys of the entry itself; all others belong to its act."""


class JournalFileError(CavewatchError):
    """A journal file that cannot be read; names the file and every line at fault."""


def read(path: Path) -> list[Entry]:
    """The entries of a journal file, in its order.

    Raises:
        JournalFileError: with all faults together, a line of text for each.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as fault:
        raise JournalFileError(f"{path} cannot be read: {fault.strerror}") from fault
    except UnicodeDecodeError as fault:
        raise JournalFileError(f"{path} is not UTF-8 text: save it as UTF-8") from fault
    entries: list[Entry] = []
    faults: list[str] = []
    last = 0
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.strip():
            continue
        try:
            entry = _entry(line, last)
        except JournalError as fault:
            faults.append(f"{path}, line {number}: {_short(str(fault))}")
        else:
            entries.append(entry)
            last = entry.id
    if faults:
        raise JournalFileError("\n".join(faults))
    return entries


def dump(entries: Iterable[Entry]) -> str:
    """The text of a journal file that holds these entries; ASCII only, times in UTC."""
    return "".join(json.dumps(_plain(entry)) + "\n" for entry in entries)


def _plain(entry: Entry) -> dict[str, Any]:
    return {
        "id": entry.id,
        "at": datetime.fromtimestamp(entry.at, UTC).isoformat(),
        "written": datetime.fromtimestamp(entry.written, UTC).isoformat(),
        "by": entry.by,
        **to_plain(entry.act),
    }


def _entry(line: str, last: int) -> Entry:
    """The entry on a line; its number must be above that of the line before."""
    try:
        plain = json.loads(line)
        _refuse_control_characters(plain)
    except (ValueError, RecursionError):
        raise JournalError("this is not JSON; write one entry, an object, on each line") from None
    if not isinstance(plain, dict):
        raise JournalError('an entry must be an object such as {"id": 1, ...}')
    for key in _OWN:
        if key not in plain:
            raise JournalError(f"'{key}' is missing")
    number, by = plain["id"], plain["by"]
    if type(number) is not int or number <= last:
        raise JournalError(f"'id' is {number!r}; it must be a whole number above {last}")
    if not isinstance(by, str) or not by:
        raise JournalError(f"'by' is {by!r}; it must be the initials of who wrote the entry")
    return Entry(
        id=number,
        at=_instant("at", plain["at"]),
        written=_instant("written", plain["written"]),
        by=by,
        act=from_plain({key: value for key, value in plain.items() if key not in _OWN}),
    )


def _instant(key: str, value: Any) -> float:
    try:
        typed = datetime.fromisoformat(value)
    except (TypeError, ValueError):
        typed = None
    if typed is None or typed.tzinfo is None:
        raise JournalError(
            f"'{key}' is {value!r}; it must be a time with offset such as "
            "'2026-03-02T07:10:00+00:00'"
        )
    return typed.timestamp()


def _refuse_control_characters(value: Any) -> None:
    """Keep what could steer a terminal out of the journal: what the store leaves out as well."""
    if isinstance(value, dict):
        for key, item in value.items():
            _refuse_control_characters(key)
            _refuse_control_characters(item)
    elif isinstance(value, list):
        for item in value:
            _refuse_control_characters(item)
    elif isinstance(value, str) and clean(value, len(value)) != value:
        raise JournalError(f"{value!r} holds a control character; write plain text")


def _short(text: str) -> str:
    """A fault of readable length, however long the value that it quotes."""
    return text if len(text) <= 300 else text[:297] + "..."
