"""Readings from a log file: comma-separated text with a title line and a time in each row."""

import math
import os
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache, partial
from pathlib import Path
from typing import TextIO

from cavewatch.core.reading import Channel, Reading
from cavewatch.core.sensor import LogSettings
from sensors.decode.values import measured
from sensors.encoding import HEAD, told
from sensors.faults import SensorError, shown
from sensors.rows import Rows, cells_of
from sensors.stamps import Stamps
from sensors.titles import layout

_LONGEST_LINE = 65_536
"""Characters of a line that are read; the rest of it is passed over."""
_FAULTS_KEPT = 50
_TEXTS_KEPT = 4096
"""Texts of each column whose meaning is kept, so that a hostile file stays within memory."""


class LogFile:
    """A log file, read row by row, as often as wanted.

    A row that cannot be placed in time and a value that cannot be read are left
    out and named in `faults`; `refused` counts such rows, and `left_out` those that went
    back in time behind one that is named. An empty cell is no reading; `nan` is a sensor
    that has no value. `part` tells how much of the file was read, 0 to 1.
    """

    def __init__(self, path: Path, settings: LogSettings) -> None:
        """Read the title line.

        Raises:
            SensorError: if the file cannot be opened or no column can be read.
            TimeError: for a zone that is not known.
        """
        self.path = path
        self.faults: list[str] = []
        self.refused = 0
        self.left_out = 0
        self.part = 0.0
        self._last_refused: int | None = None
        self._name = shown(path.name)
        self._settings = settings
        self._stamps = Stamps(settings)
        line = settings.header_line
        try:
            with self.path.open("rb") as raw:
                self._encoding = told(raw.read(HEAD))
            with self._opened() as file:
                titles = next((text for number, text in _lines(file) if number == line), "")
        except OSError as fault:
            where = shown(str(path), 200)
            raise SensorError(f"{where} cannot be read: {fault.strerror}") from fault
        try:
            self._layout = layout(cells_of(titles, settings.delimiter), settings)
        except SensorError as fault:
            raise SensorError(f"{self._name}, line {line}: {fault}") from None
        for words in self._layout.faults:
            self._note(line, words)

    @property
    def channels(self) -> tuple[Channel, ...]:
        """The channels that its columns feed, in the file's order."""
        return tuple(dict.fromkeys(field.channel for _, _, field in self._layout.values))

    def readings(self, latest: float = math.inf) -> Iterator[Reading]:
        """Every reading by time.

        Args:
            latest: rows beyond it are refused [s since 1970 UTC].
        """
        # A sensor has few values, and each text is worked out once.
        columns = [
            (index, title, field.channel, lru_cache(_TEXTS_KEPT)(partial(measured, field, 0.0)))
            for index, title, field in self._layout.values
        ]
        for line, at, cells in self._rows(self._refuse, latest):
            for index, title, channel, read in columns:
                if cell := cells[index]:
                    try:
                        found = read(cell)
                    except SensorError as fault:
                        self._refuse(line, f"'{title}' {fault}")
                    else:
                        yield Reading(channel, at, found.value, found.status)

    def span(self) -> tuple[float, float]:
        """Times of the first and the last row [s since 1970 UTC].

        Raises:
            SensorError: if no row has a time.
        """
        times = (at for _, at, _ in self._rows(lambda _line, _words: None, math.inf))
        first = next(times, None)
        if first is None:
            raise SensorError(f"{self._name} has no row with a time below its title line")
        return first, max(times, default=first)

    def _rows(
        self, refuse: Callable[[int, str], None], latest: float
    ) -> Iterator[tuple[int, float, list[str]]]:
        """Line number, time and cells of each row that can be placed in time."""
        rows = Rows(self._layout, self._stamps, self._settings.delimiter)
        line = self._settings.header_line
        try:
            with self._opened() as file:
                size = max(os.fstat(file.fileno()).st_size, 1)
                for line, text in self._below_titles(file):
                    self.part = min(file.buffer.tell() / size, 1.0)
                    try:
                        found = rows.placed(text, latest)
                    except SensorError as fault:
                        refuse(line, str(fault))
                        continue
                    if found is not None:
                        yield line, *found
        except OSError as fault:
            refuse(line + 1, f"reading stopped: {fault.strerror}")
        finally:
            self.left_out = rows.left_out

    def _below_titles(self, file: TextIO) -> Iterable[tuple[int, str]]:
        """The lines with rows, oldest first."""
        lines = (found for found in _lines(file) if found[0] > self._settings.header_line)
        return reversed(list(lines)) if self._settings.newest_first else lines

    def _opened(self) -> TextIO:
        return self.path.open(encoding=self._encoding, errors="replace")

    def _refuse(self, line: int, words: str) -> None:
        """Name what is wrong in a line, once however often the file is read."""
        done = -line if self._settings.newest_first else line
        if self._last_refused is None or done > self._last_refused:
            self._last_refused = done
            self.refused += 1
            self._note(line, words)

    def _note(self, line: int, words: str) -> None:
        if len(self.faults) < _FAULTS_KEPT:
            self.faults.append(f"{self._name}, line {line}: {words}")


def _lines(file: TextIO) -> Iterator[tuple[int, str]]:
    """Each line and its number, within a bounded memory."""
    number, begins = 0, True
    while text := file.readline(_LONGEST_LINE):
        if begins:
            number += 1
            yield number, text
        begins = text.endswith("\n")
