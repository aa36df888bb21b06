"""The rows of a log to times and cells, one after the other."""

import csv
import math

from sensors.faults import SensorError, shown
from sensors.stamps import Stamps
from sensors.titles import Layout


class AheadError(SensorError):
    """A row's time is still to come by this machine's clock."""


def cells_of(text: str, delimiter: str) -> list[str]:
    """One row's cells; a stray quote cannot reach beyond its line."""
    text = text.rstrip("\r\n")
    cells = next(csv.reader([text], delimiter=delimiter)) if '"' in text else text.split(delimiter)
    return [cell.strip() for cell in cells]


class Rows:
    """Places the rows of one file in time, from its first to its last.

    Times never go back: rows that do are left out, but those of the hour that the
    end of summer time repeats are taken as its second pass.
    """

    def __init__(self, layout: Layout, stamps: Stamps, delimiter: str) -> None:
        self._width, self._time = layout.width, layout.time
        self._stamps, self._delimiter = stamps, delimiter
        self._last, self._back = 0.0, False
        self.left_out = 0
        """Rows that went back in time, the first of each run excepted."""

    def placed(self, text: str, latest: float = math.inf) -> tuple[float, list[str]] | None:
        """Time [s since 1970 UTC] and cells; None for a row that says nothing new.

        Args:
            text: the row.
            latest: a time beyond it is refused [s since 1970 UTC].

        Raises:
            AheadError: for a time beyond `latest`; the row may be given again.
            SensorError: for a row that cannot be placed; of those that go back, for the first.
        """
        cells = cells_of(text, self._delimiter)
        if not any(cells):
            return None
        if len(cells) < self._width or any(cells[self._width :]):
            raise SensorError(f"it has {len(cells)} cells where the titles are {self._width}")
        stamp = " ".join([cells[index] for index in self._time])
        at = self._stamps.at(stamp, self._last)
        if at > latest:
            raise AheadError(f"'{shown(stamp)}' is still to come by this machine's clock")
        if at >= self._last:
            self._last, self._back = at, False
            return at, cells
        if not self._back:
            self._back = True
            raise SensorError(
                f"the time goes back to '{shown(stamp)}'; "
                "rows are left out until it passes the row before"
            )
        self.left_out += 1
        return None
