"""The sign of life: given while readings are kept, so that something else can miss it."""

import os
from pathlib import Path

from cavewatch.clock import Clock
from cavewatch.core.notices import Heartbeat
from cavewatch.core.text import clean
from cavewatch.recorder.errand import Errand


class Heart:
    """Gives the sign every so often; used by the recorder's thread."""

    def __init__(self, settings: Heartbeat, folder: Path, ticks: Clock) -> None:
        """Begin.

        Args:
            settings: from the config.
            folder: where relative paths start and the command runs.
            ticks: a clock that never steps [s].
        """
        self._settings, self._folder, self._ticks = settings, folder, ticks
        self._next = ticks()
        self._errand: Errand | None = None
        self._untouched = self._unrun = ""

    def beat(self) -> None:
        """Call about once a second while readings are kept."""
        if self._errand is not None and (end := self._errand.look()) is not None:
            self._unrun, self._errand = end, None
        now = self._ticks()
        if now < self._next:
            return
        self._next = now + self._settings.every
        if self._settings.file:
            self._touch(self._folder / self._settings.file)
        # One that still runs is not overtaken; it is ended when its time is up.
        if self._settings.command and self._errand is None:
            self._errand = Errand(self._settings.command, self._ticks, folder=self._folder)

    def trouble(self) -> str:
        """Why the sign cannot be given, in one line; empty if it can."""
        found = " · ".join(filter(None, (self._untouched, self._unrun)))
        return clean(f"heartbeat: {found}", 200) if found else ""

    def close(self) -> None:
        """End the command, if it runs."""
        if self._errand is not None:
            self._errand.stop()

    def _touch(self, file: Path) -> None:
        try:
            # Made if it is missing; a named pipe that nobody reads must not hold the recorder.
            os.close(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_NONBLOCK | os.O_CLOEXEC, 0o644))
            os.utime(file)
            self._untouched = ""
        except OSError as fault:
            self._untouched = f"{file} cannot be touched: {fault.strerror}"
