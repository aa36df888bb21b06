"""Times as a log file writes them to instants."""

import re
from datetime import datetime, timedelta

from cavewatch.clock import zone
from cavewatch.core.sensor import MILLISECONDS, LogSettings
from sensors.faults import SensorError, shown

_SECONDS = re.compile(r"\d+(?:\.\d*)?", re.ASCII)
_MIDNIGHT_AT_END = re.compile(r"(?<![\d:.])24(?=:00(?::00(?:\.0+)?)?(?![\d:.]))", re.ASCII)
_END = 7_258_118_400.0
"""2200-01-01: what lies beyond is a mistaken unit or a damaged row [s since 1970 UTC]."""


class Stamps:
    """Reads times in one log's way of writing them."""

    def __init__(self, settings: LogSettings) -> None:
        """Raise TimeError for a zone that is not known."""
        self._format = settings.time_format
        self._year = settings.year
        self._zone = zone(settings.zone)

    def at(self, text: str, after: float = 0.0) -> float:
        """The instant [s since 1970 UTC].

        24:00 is 00:00 of the next day. A wall time that the clock shows twice is
        the first of the two, or the second where the first lies before `after`.

        Raises:
            SensorError: saying what this log should hold instead.
        """
        try:
            at = self._instant(text, after)
        except (ValueError, OverflowError):
            at = -1.0
        if not 0.0 <= at < _END:
            wanted = f"in the form '{self._format}'" if self._format else "in ISO 8601"
            if self._format == MILLISECONDS:
                wanted = "in milliseconds since 1970"
            raise SensorError(
                f"'{shown(text)}' is not a time from 1970 to 2199; "
                f"write it {wanted} or change the log's time format"
            )
        return at

    def _instant(self, text: str, after: float) -> float:
        counted = self._format in ("", MILLISECONDS)
        if counted and _SECONDS.fullmatch(text):
            seconds = float(text) / (1000.0 if self._format else 1.0)
            if self._year is None:
                return seconds
            then, days = datetime.fromtimestamp(seconds, self._zone), 0
        else:
            if "24:00" in text:
                text, days = _MIDNIGHT_AT_END.subn("00", text)
            else:
                days = 0
            then = self._parsed(text)
        if self._year is not None:
            if (then.month, then.day) == (2, 29) and not _is_leap(self._year):
                raise SensorError(f"{self._year} has no 29 February")
            then = then.replace(year=self._year)
        if days:
            then += timedelta(days)
        at = then.timestamp()
        return at if at >= after else then.replace(fold=1).timestamp()

    def _parsed(self, text: str) -> datetime:
        then = (
            datetime.strptime(text, self._format)  # noqa: DTZ007  the zone follows
            if self._format
            else datetime.fromisoformat(text)
        )
        return then if then.tzinfo else then.replace(tzinfo=self._zone)


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
