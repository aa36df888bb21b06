"""What an export draws on: one dairy's record, read once."""

from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.cli.exporting.charts import Drawing
from cavewatch.cli.live import Live
from cavewatch.cli.measured import Measured, order
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Entry
from cavewatch.core.place import Place
from cavewatch.core.reading import Channel
from cavewatch.core.record import Occurrence, occurrences
from cavewatch.core.signal.record import records
from cavewatch.screens.making.words import Sayer
from cavewatch.store.spans import recorded, transitions
from cavewatch.units import Display


@dataclass(frozen=True, slots=True)
class Facts:
    """A dairy's record, as it is by now."""

    live: Live
    entries: Sequence[Entry]
    """The whole journal."""
    channels: Sequence[Channel]
    """Every channel of the config and every other that ever had a reading, in its order."""
    zone: ZoneInfo
    display: Display

    @classmethod
    def of(cls, live: Live) -> "Facts":
        """Read what is short; readings are read when they are asked for."""
        config = live.config
        return cls(
            live,
            live.store.entries(),
            order(
                list({*live.store.latest(), *config.channels}),
                [place.name for place in config.places],
            ),
            clock.zone(config.zone),
            Display(config.units),
        )

    @property
    def newest(self) -> float:
        """The last moment of which anything is on record [s since 1970 UTC].

        Reports go up to it and not to the present, so that the same facts make the same file.

        Raises:
            CavewatchError: if there is nothing on record.
        """
        read = recorded(self.live.store)
        written = max((entry.written for entry in self.entries), default=0.0)
        found = max(written, 0.0 if read is None else read[1] + 1.0)
        if not found:
            raise CavewatchError("there is nothing on record yet, so there is nothing to export")
        return found

    @property
    def places(self) -> dict[str, Place]:
        """Of the config, by name."""
        return {place.name: place for place in self.live.config.places}

    @property
    def measured(self) -> Measured:
        """The readings, with the checks of their sensors."""
        return Measured(self.live.store, records(self.entries), self.live.config.channels)

    @property
    def say(self) -> Sayer:
        """How things are said."""
        return Sayer(self.zone, self.display)

    @property
    def drawing(self) -> Drawing:
        """How things are drawn."""
        return Drawing(self.zone, self.display.system)

    def alarms(self) -> tuple[Occurrence, ...]:
        """Each time that an alarm was abnormal, in the maker's units."""
        found = (each.worded(self.display.told) for each in transitions(self.live.store))
        return occurrences(found, self.entries)

    def iso(self, at: float) -> str:
        """A time as it stands in tables, to the second or, where it is not whole, finer."""
        return clock.local(at, self.zone).isoformat()
