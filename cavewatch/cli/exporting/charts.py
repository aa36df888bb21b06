"""What was measured, as charts and tables of a report, in the maker's units and time."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.cli.measured import HOUR, together
from cavewatch.core.place_history import Ranges
from cavewatch.core.ranges import Edge
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.record import Gap
from cavewatch.reports import Chart, Level, Point, Row, Stretch, Table
from cavewatch.store import Bin
from cavewatch.units import System

MOST = 700
"""More points than these no chart of this width shows."""
_DAY = 86_400.0


@dataclass(frozen=True, slots=True)
class Drawing:
    """In what time and units things are drawn."""

    zone: ZoneInfo
    system: System

    def unit(self, quantity: Quantity) -> str:
        """What values of a quantity are in."""
        if quantity is Quantity.HUMIDITY:
            return "%"
        return "°F" if self.system is System.US else "°C"

    def value(self, quantity: Quantity, value: float) -> float:
        """A value in that unit."""
        if quantity is Quantity.TEMPERATURE and self.system is System.US:
            return value * 1.8 + 32.0
        return value

    def chart(
        self,
        title: str,
        quantity: Quantity,
        hours: Sequence[Bin],
        since: float,
        until: float,
        limits: Ranges = (),
        empty: Iterable[Gap] = (),
    ) -> Chart:
        """A chart of hours, or of longer stretches if there are too many."""
        many = max(1, -(-int((until - since) / HOUR) // MOST))
        width = float(many * HOUR)
        first = since // width * width
        starts = [first + width * n for n in range(int((until - first) // width) + 1)]
        bins = hours if many == 1 else together(hours, starts)
        return Chart(
            title=title,
            unit=self.unit(quantity),
            points=tuple(
                Point(
                    found.at + width / 2,
                    *(self.value(quantity, value) for value in (found.mean, found.low, found.high)),
                )
                for found in bins
            ),
            since=since,
            until=until,
            apart=1.5 * width,
            days=days(since, until, self.zone),
            levels=tuple(
                Level(
                    name,
                    tuple(
                        (at, None if edge is None else self.value(quantity, edge.value))
                        for at, edge in steps
                    ),
                )
                for name, steps in _edges(limits)
            ),
            empty=tuple(Stretch(gap.since, gap.until) for gap in empty),
        )

    def table(
        self,
        caption: str,
        bins: Mapping[Channel, Sequence[Bin]],
        starts: Sequence[float],
        shown: str,
    ) -> Table:
        """A row for each stretch that begins at one of `starts`, with all channels side by side.

        Args:
            caption: over the table.
            bins: of each channel, one at most for each start.
            starts: by time [s since 1970 UTC].
            shown: how a start is written, as for strftime.
        """
        columns = ["from"]
        for channel in bins:
            unit = f"{channel.quantity}, {self.unit(channel.quantity)}"
            columns += [f"{unit}: lowest", "mean", "highest", "readings"]
        known = {channel: {found.at: found for found in each} for channel, each in bins.items()}
        rows = []
        for at in starts:
            cells = [f"{clock.local(at, self.zone):{shown}}"]
            for channel, each in known.items():
                cells += self._cells(channel.quantity, each.get(at))
            rows.append(Row(tuple(cells)))
        return Table(tuple(columns), tuple(rows), caption, frozenset(range(1, len(columns))))

    def _cells(self, quantity: Quantity, found: Bin | None) -> list[str]:
        if found is None:
            return ["no data", "", "", "0"]
        values = (found.low, found.mean, found.high)
        return [*(f"{self.value(quantity, value):.1f}" for value in values), str(found.n)]


def days(since: float, until: float, zone: ZoneInfo) -> tuple[tuple[float, str], ...]:
    """Where days begin, or weeks or months where there are many, and what they are called."""
    length = (until - since) / _DAY
    shown = "%a %-d %b" if length <= 15 else "%-d %b" if length <= 150 else "%b %Y"
    found = [(since, f"{clock.local(since, zone):{shown}}")]
    for at in midnights(since, until, zone):
        there = clock.local(at, zone)
        begins = length <= 15 or (there.weekday() == 0 if length <= 150 else there.day == 1)
        if begins and at > since:
            found.append((at, f"{there:{shown}}"))
    return tuple(found)


def midnights(since: float, until: float, zone: ZoneInfo) -> list[float]:
    """When the days from `since` to before `until` begin by the clock on the wall."""
    day = clock.local(since, zone).replace(hour=0, minute=0, second=0, microsecond=0)
    found: list[float] = []
    while (at := day.timestamp()) < until:
        found.append(at)
        day = datetime.combine(day.date() + timedelta(days=1), day.time(), zone)
    return found


def _edges(limits: Ranges) -> Iterable[tuple[str, list[tuple[float, Edge | None]]]]:
    yield "at least", [(at, each.low) for at, each in limits]
    yield "at most", [(at, each.high) for at, each in limits]
