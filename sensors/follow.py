"""A log file to which another program adds lines, read as it grows."""

import errno
import os
import stat
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import BinaryIO

from cavewatch.clock import Clock
from cavewatch.core.reading import Reading
from cavewatch.core.sensor import FollowSettings
from sensors.decode.lines import Line, LineBuffer
from sensors.decode.values import measured
from sensors.faults import SensorError, shown
from sensors.polled import Round
from sensors.rows import AheadError, Rows, cells_of
from sensors.stamps import Stamps
from sensors.titles import Layout, layout

PACE = 2.0
"""How often a file is looked at, if its rows are not closer [s]."""
_LONGEST_LINE = 65_536
"""Longer is no row [bytes]."""
_PIECE = 16_384
"""Read at once [bytes]."""
_AT_ONCE, _PIECES = 2000, 1000
"""After so many readings, or pieces, the caller comes first."""
_AHEAD = 86_400.0
"""A time so far ahead of this machine's clock is damaged, not a clock that goes wrong [s];
judgement."""
_EARLY = 60.0
"""A clock that is not set may be behind: rows so far ahead of it wait for it [s]."""


class GrowingLog:
    """The file's new rows; absence, a new beginning and replacement are waited out."""

    def __init__(
        self,
        settings: FollowSettings,
        since: float | None,
        sure: Callable[[], bool] = lambda: True,
    ) -> None:
        """Begin after the row of a time.

        Args:
            settings: the file, and how its rows are read.
            since: of the newest reading kept [s since 1970 UTC]; None for none, so that
                only what comes from now on is read.
            sure: whether this machine's clock is set.

        Raises:
            TimeError: for a zone that is not known.
        """
        self._settings = settings
        self._stamps = Stamps(settings.log)
        self._since = since
        self._sure = sure
        self._catching_up = since is None
        self._lines = LineBuffer(_LONGEST_LINE)
        self._file: BinaryIO | None = None
        self._begin()

    def _begin(self) -> None:
        """At the first line of a file."""
        self._lines.restart(whole=True)
        self._unread: deque[Line] = deque()
        self._number = 0
        self._layout: Layout | None = None
        self._rows: Rows | None = None
        self._fault = ""

    def ask(self, clock: Clock, wait: Callable[[float], bool]) -> Round:
        """What was added since the last look."""
        readings: list[Reading] = []
        refused = 0
        sure = self._sure()
        try:
            for _ in range(_PIECES):
                file = self._file = self._file or self._opened(clock(), sure)
                if not self._unread and (data := file.read(_PIECE)):
                    self._unread.extend(self._lines.feed(data))
                elif not self._unread and self._still(file):
                    self._catching_up = False
                    break
                while self._unread:
                    try:
                        readings += self._read(self._number + 1, self._unread[0], clock(), sure)
                    except SensorError as fault:
                        if isinstance(fault, AheadError) and not sure:
                            return Round(readings, (f"waiting for its clock: {fault}",), refused)
                        refused += 1
                        self._fault = f"line {self._number + 1}: {fault}"
                    self._unread.popleft()
                    self._number += 1
                if len(readings) >= _AT_ONCE or wait(0.0):
                    break
        except (OSError, SensorError) as fault:
            self.let_go()
            self._catching_up = False
            where = f"waiting for {shown(self._settings.file, 80)}"
            return Round(readings, (f"{where}: {_why(fault)}",), refused)
        columns = self._layout.faults if self._layout else ()
        return Round(readings, (*columns, *([self._fault] if self._fault else [])), refused)

    def let_go(self) -> None:
        """Close the file; it is read from its beginning when it is opened again."""
        if self._file is not None:
            self._file.close()
            self._file = None

    def _opened(self, present: float, sure: bool) -> BinaryIO:
        self._begin()
        if self._since is not None:
            if not sure and self._since > present + _EARLY:
                raise SensorError("this machine's clock is not set yet")
            # Kept while the clock was ahead, a reading would hide the rows up to its time.
            self._since = min(self._since, present)
        # Without this flag a pipe would keep the thread for ever.
        handle = os.open(self._settings.file, os.O_RDONLY | os.O_NONBLOCK)
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            os.close(handle)
            raise SensorError("it is not an ordinary file")
        return os.fdopen(handle, "rb", buffering=0)

    def _still(self, file: BinaryIO) -> bool:
        """Whether the file that was read to its end is the one of this name, and no shorter."""
        there, held = os.stat(self._settings.file), os.fstat(file.fileno())
        same = (there.st_dev, there.st_ino) == (held.st_dev, held.st_ino)
        if same and there.st_size >= file.tell():
            return True
        self.let_go()
        return False

    def _read(self, number: int, line: Line, present: float, sure: bool) -> Iterator[Reading]:
        """The readings of a row that is new; AheadError before any for one that is to come."""
        log = self._settings.log
        text = line.text.decode("utf-8-sig", errors="replace")
        if number < log.header_line:
            return
        if number == log.header_line:
            self._layout = found = layout(cells_of(text, log.delimiter), log)
            self._rows = Rows(found, self._stamps, log.delimiter)
            return
        if self._layout is None or self._rows is None:
            return
        if self._catching_up and not sure:
            return
        if line.too_long:
            raise SensorError(f"it is longer than {_LONGEST_LINE} bytes")
        placed = self._rows.placed(text, present + (_AHEAD if sure else _EARLY))
        if placed is None:
            return
        at, cells = placed
        if self._since is not None and at <= self._since:
            return
        self._since = at
        if self._catching_up:
            return
        bad = ""
        for index, title, field in self._layout.values:
            if cell := cells[index]:
                try:
                    yield replace(measured(field, at, cell), dated=True)
                except SensorError as fault:
                    bad = f"'{title}' {fault}"
        if bad:
            raise SensorError(bad)
        self._fault = ""


def _why(fault: OSError | SensorError) -> str:
    if isinstance(fault, SensorError):
        return str(fault)
    if fault.errno == errno.ENOENT:
        return "no such file"
    return os.strerror(fault.errno) if fault.errno else shown(str(fault), 80)
