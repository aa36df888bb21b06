"""Files that are given away: whole or not at all, with a word of how far they are."""

import contextlib
import csv
import json
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from enum import StrEnum
from pathlib import Path
from typing import TextIO

import click

from cavewatch.core.errors import CavewatchError
from cavewatch.core.record.cells import guarded, number

Value = str | float | bool | None
"""What a cell holds; None for nothing."""
Row = Sequence[Value]


class Format(StrEnum):
    """How a table is written."""

    CSV = "csv"
    """RFC 4180: a header line, commas, CRLF; text that a spreadsheet would calculate is guarded."""
    JSON_LINES = "jsonl"
    """One object a line."""


class StoppedError(CavewatchError):
    """The maker stopped an export."""


@contextlib.contextmanager
def whole(path: Path) -> Iterator[TextIO]:
    """A new text file that takes its name once it is complete.

    Raises:
        CavewatchError: if there is one of that name, it cannot be written, or Ctrl-C stops it;
            nothing is then left of it.
    """
    if path.exists():
        raise CavewatchError(f"{path} is there already; name a file that is not")
    partial = path.with_name(path.name + ".part")
    try:
        try:
            with partial.open("w", encoding="utf-8", newline="") as file:
                yield file
            path.touch(exist_ok=False)  # so that what somebody made meanwhile stays
            partial.replace(path)
        finally:
            partial.unlink(missing_ok=True)
    except KeyboardInterrupt:
        raise StoppedError(f"stopped: nothing is left of {path}") from None
    except FileExistsError:
        raise CavewatchError(f"{path} is there already; name a file that is not") from None
    except OSError as fault:
        raise CavewatchError(
            f"{path} cannot be written ({fault.strerror}); name a file in a directory that you "
            "may write to, on a disk with room"
        ) from fault


def write_table(
    file: TextIO, columns: Sequence[str], rows: Iterable[Row], form: Format = Format.CSV
) -> int:
    """Write rows as they come; gives back how many there were."""
    count = 0
    if form is Format.CSV:
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow(columns)
        for row in rows:
            writer.writerow([_cell(value) for value in row])
            count += 1
    else:
        for row in rows:
            plain = dict(zip(columns, row, strict=True))
            file.write(json.dumps(plain, ensure_ascii=False) + "\n")
            count += 1
    return count


def _cell(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return guarded(value)
    return str(value).lower() if isinstance(value, bool) else number(value)


def progress(done: str) -> Callable[[float], None]:
    """Says in one line of a terminal how much is done, such as 'written'; elsewhere nothing."""
    if not sys.stderr.isatty():
        return lambda _: None
    told = -1

    def show(part: float) -> None:
        nonlocal told
        percent = min(100, int(100 * part))
        if percent != told:
            told = percent
            click.echo(f"\r{percent:3d}% {done}", nl=percent == 100, err=True)

    return show
