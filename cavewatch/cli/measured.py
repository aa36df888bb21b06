"""What channels read over a span, as the record shows it: corrected, by the hour and the minute."""

import bisect
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.record import Gap, gaps
from cavewatch.core.signal.record import UNKNOWN, SensorRecord
from cavewatch.store import Bin, Store

MINUTE: Final = 60
HOUR: Final = 3600
_CHUNK = 7 * 86_400.0
"""So much of the minutes is held in memory at once [s]."""
SILENT = 900.0
"""A channel that the config names no more counts as silent after this long [s]; judgement."""


@dataclass(frozen=True, slots=True)
class Measured:
    """The readings on record, with what makes them believable."""

    store: Store
    records: Mapping[Channel, SensorRecord]
    """Of the sensors, by channel."""
    silent: Mapping[Channel, float]
    """The age at which a channel counts as silent [s]."""

    def bins(
        self, channel: Channel, width: Literal[60, 3600], since: float, until: float
    ) -> Iterator[Bin]:
        """What it read by the minute or the hour, corrected by the checks of its sensor."""
        record = self.records.get(channel, UNKNOWN)
        begin = since
        while begin < until:
            end = min(begin + _CHUNK, until)
            for found in self.store.bins(channel, width, begin, end):
                # A bin that meets two pieces is given once.
                if begin == since or found.at >= begin:
                    yield _corrected(channel, found, record)
            begin = end

    def gaps(self, channel: Channel, since: float, until: float) -> Iterator[Gap]:
        """The stretches without a value."""
        minutes = (found.at for found in self.bins(channel, MINUTE, since, until))
        least = max(self.silent.get(channel, SILENT), float(MINUTE))
        return gaps(minutes, float(MINUTE), since, until, least)


def _corrected(channel: Channel, found: Bin, record: SensorRecord) -> Bin:
    if not record.calibrations:
        return found
    values = (found.mean, found.low, found.high)
    return Bin(found.at, found.n, *(record.believed(channel.quantity, v, found.at) for v in values))


def together(bins: Iterable[Bin], starts: Sequence[float]) -> list[Bin]:
    """Bins put together into longer ones; those before the first start are left out.

    Args:
        bins: by time.
        starts: where the longer ones begin, by time [s since 1970 UTC].
    """
    groups: dict[int, list[Bin]] = {}
    for found in bins:
        groups.setdefault(bisect.bisect_right(starts, found.at) - 1, []).append(found)
    return [
        Bin(
            starts[index],
            count := sum(each.n for each in group),
            sum(each.mean * each.n for each in group) / count,
            min(each.low for each in group),
            max(each.high for each in group),
        )
        for index, group in sorted(groups.items())
        if index >= 0
    ]


def order(channels: Sequence[Channel], places: Sequence[str]) -> list[Channel]:
    """Channels by place as the config names them, temperature before humidity."""
    rank = {name: number for number, name in enumerate(places)}
    quantities = list(Quantity)
    return sorted(
        channels,
        key=lambda each: (
            rank.get(each.place, len(rank)),
            each.place,
            quantities.index(each.quantity),
        ),
    )
