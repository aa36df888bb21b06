"""A log file as a source: its readings, each when the clock reaches its time."""

from collections.abc import Iterator

from cavewatch.clock import Clock
from cavewatch.core.reading import Reading
from sensors.faults import shown
from sensors.log import LogFile
from sensors.source import SourceCondition


class LogSource:
    """Replays a log at the pace of a clock.

    Readings that have been taken do not come again when the clock is set back;
    make a new source for that.
    """

    def __init__(self, log: LogFile, clock: Clock) -> None:
        self.name = shown(log.path.name)
        self._log, self._clock = log, clock
        self._rest: Iterator[Reading] | None = None
        self._upcoming: Reading | None = None
        self._heard_at: float | None = None

    def start(self) -> None:
        """Go to the first reading."""
        self._rest = self._log.readings()
        self._upcoming = next(self._rest, None)

    @property
    def finished(self) -> bool:
        """True once the last reading has been taken."""
        return self._rest is not None and self._upcoming is None

    def take(self) -> list[Reading]:
        """The readings up to the clock's time that were not yet taken, oldest first."""
        present, due = self._clock(), []
        while self._rest and self._upcoming and self._upcoming.at <= present:
            due.append(self._upcoming)
            self._upcoming = next(self._rest, None)
        if due:
            self._heard_at = due[-1].at
        return due

    def condition(self) -> SourceCondition:
        """How far the replay is, and what could not be read so far."""
        text = (
            "the log has ended" if self.finished else "replaying" if self._rest else "not started"
        )
        if self._log.faults:
            text += f"; not all of it could be read, at first {self._log.faults[0]}"
        connected = self._upcoming is not None
        return SourceCondition(connected, text, self._heard_at, self._log.refused)

    def close(self) -> None:
        """End the replay and close the file."""
        self._rest = iter(())
        self._upcoming = None
