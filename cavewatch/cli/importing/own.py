"""Readings that Cavewatch exported: taken back as they were, with their status."""

import csv
import io
import os
from collections.abc import Collection, Iterator
from datetime import datetime
from pathlib import Path

from cavewatch.cli.exporting.readings import Every, columns
from cavewatch.core.errors import CavewatchError
from cavewatch.core.reading import PLAUSIBLE, Channel, Quantity, Reading, SignalStatus
from cavewatch.core.record.cells import unguarded
from sensors.faults import shown

_FAULTS_KEPT = 50
_CELLS = {
    quantity: next(c for c in columns(Every.READING) if c.startswith(f"{quantity}_"))
    for quantity in Quantity
}
"""Column of the value as the sensor sent it; corrections are worked out anew."""


def is_own(path: Path) -> bool:
    """Whether a file is an export of single readings.

    Raises:
        CavewatchError: for one of means, which cannot be taken back, or that cannot be read.
    """
    try:
        with path.open(encoding="utf-8", errors="replace", newline="") as file:
            titles = tuple(file.readline(2000).rstrip("\r\n").split(","))
    except OSError as fault:
        raise CavewatchError(f"{shown(str(path), 200)} cannot be read: {fault.strerror}") from fault
    if titles in (columns(Every.MINUTE), columns(Every.HOUR)):
        raise CavewatchError(
            f"{shown(path.name)}: it holds means, not readings; export with --every reading"
        )
    return titles == columns(Every.READING)


class OwnReadings:
    """The rows of an export, read one by one; see `taking.ReadingsFile`."""

    def __init__(self, path: Path, places: Collection[str]) -> None:
        """Of a file for which `is_own` holds, in a dairy with these places."""
        self.path = path
        self.faults: list[str] = []
        self.refused = 0
        self.left_out = 0
        self.part = 0.0
        self._places = frozenset(places)

    def readings(self, latest: float) -> Iterator[Reading]:
        """Every reading in the file's order."""
        with (
            self.path.open("rb") as raw,
            io.TextIOWrapper(raw, "utf-8", errors="replace", newline="") as file,
        ):
            size = max(os.fstat(raw.fileno()).st_size, 1)
            rows = csv.DictReader(file, restkey="", restval="")
            while True:
                try:
                    row = next(rows, None)
                    if row is None:
                        return
                    found = self._row(row, latest)
                except (CavewatchError, ValueError, csv.Error) as fault:
                    self._refuse(rows.line_num, str(fault))
                else:
                    yield from found
                self.part = min(raw.tell() / size, 1.0)

    def _row(self, row: dict[str, str], latest: float) -> list[Reading]:
        at = _instant(row["time"])
        if at > latest:
            raise CavewatchError(f"'{shown(row['time'])}' is still to come by this machine's clock")
        place = unguarded(row["place"])
        if place not in self._places:
            raise CavewatchError(f"there is no place '{shown(place)}' in the config")
        return [
            _reading(Channel(place, quantity), at, row[column], row[f"{quantity}_status"])
            for quantity, column in _CELLS.items()
            if row[f"{quantity}_status"]
        ]

    def _refuse(self, line: int, words: str) -> None:
        self.refused += 1
        if len(self.faults) < _FAULTS_KEPT:
            self.faults.append(f"{shown(self.path.name)}, line {line}: {words}")


def _instant(text: str) -> float:
    try:
        then = datetime.fromisoformat(text)
    except ValueError:
        then = None
    if then is None or then.tzinfo is None:
        raise CavewatchError(f"'{shown(text)}' is not a time with an offset")
    return then.timestamp()


def _reading(channel: Channel, at: float, value: str, status: str) -> Reading:
    if status not in tuple(SignalStatus):
        raise CavewatchError(f"'{shown(status)}' is no status of a signal")
    low, high = PLAUSIBLE[channel.quantity]
    try:
        found = float(value) if value else None
    except ValueError:
        found = float("nan")
    if found is not None and not low <= found <= high:
        raise CavewatchError(
            f"'{shown(value)}' is no {channel.quantity}; it must lie from {low:g} to {high:g}"
        )
    return Reading(channel, at, found, SignalStatus(status))
