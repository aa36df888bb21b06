"""The desk of a dairy whose facts are in a store: what screens and commands look through."""

from collections.abc import Callable, Iterable, Mapping
from zoneinfo import ZoneInfo

from cavewatch.clock import Clock, Stamp
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.brine.predicted import Predicted
from cavewatch.core.countdown import Countdown
from cavewatch.core.dairy import Dairy, picture
from cavewatch.core.journal import Act, Entry
from cavewatch.core.place import Place
from cavewatch.core.reading import Channel, Reading
from cavewatch.core.signal.record import UNKNOWN, SensorRecord, records
from cavewatch.core.style import StyleBook
from cavewatch.store import Store
from cavewatch.units import Display

AGED = 10.0
"""A picture older than this is drawn anew even if no fact came: ages and stages move [s]."""


class StoreDesk:
    """Reads the store, folds the picture, appends entries; see `cavewatch.screens.desk.Desk`."""

    replay = None

    def __init__(
        self,
        store: Store,
        clock: Clock,
        *,
        title: str,
        zone: ZoneInfo,
        display: Display,
        initials: str,
        styles: StyleBook,
        places: Iterable[Place],
        channels: Mapping[Channel, float],
        notice: Callable[[], str],
        stamp: Callable[[], Stamp] | None = None,
    ) -> None:
        """Look through this store at the time of this clock.

        `stamp` tells whether the clock is right; one that is not the machine's is not doubted.
        """
        self.title = title
        self.zone = zone
        self.display = display
        self.initials = initials
        self.styles = styles
        self.places = tuple(places)
        self._store = store
        self._clock = clock
        self._channels = channels
        self._notice = notice
        self._stamp = stamp
        self._generation = store.generation()
        self._entries: list[Entry] = []
        self._records: Mapping[Channel, SensorRecord] = {}
        self._latest: dict[Channel, Reading] = {}
        self._alarms: dict[str, Alarm] = {}
        self._countdowns: list[Countdown] = []
        self._brines: list[Predicted] = []
        self._doubts: list[str] = []
        self._stale = True
        self._drawn_at = 0.0

    def now(self) -> float:
        """The present [s since 1970 UTC]."""
        return self._clock()

    def changed(self) -> bool:
        """True if something is new since the last picture."""
        if self._store.changed():
            self._stale = True
        return self._stale or abs(self.now() - self._drawn_at) > AGED

    def picture(self) -> Dairy:
        """The present picture."""
        if self._store.changed() or self._stale:
            generation = self._store.generation()
            if generation != self._generation:
                self._generation, self._entries = generation, []
            newest = self._entries[-1].id if self._entries else 0
            self._entries += self._store.entries(after=newest)
            self._records = records(self._entries)
            self._latest = self._store.latest()
            self._alarms = self._store.alarms()
            self._countdowns = self._store.countdowns()
            self._brines = self._store.brines()
            self._doubts = self._store.doubts()
            self._stale = False
        self._drawn_at = self.now()
        return picture(
            self._drawn_at,
            self.places,
            self._channels,
            self.styles,
            self._entries,
            self._latest,
            self._alarms.values(),
            self._countdowns,
            brines=self._brines,
            doubts=self._doubts,
            clock_sure=self._sure(),
        )

    def trend(self, channel: Channel, since: float, until: float, bins: int) -> list[float | None]:
        """Means of as many bins of equal length from since to until; None for an empty one."""
        record = self._records.get(channel, UNKNOWN)
        width = (until - since) / bins
        sums = [0.0] * bins
        counts = [0] * bins
        for found in self._store.bins(channel, 3600 if width >= 7200 else 60, since, until):
            index = int((found.at - since) / width)
            if 0 <= index < bins:
                sums[index] += (found.mean + record.offset(found.mean, found.at)) * found.n
                counts[index] += found.n
        return [total / n if n else None for total, n in zip(sums, counts, strict=True)]

    def append(self, act: Act, at: float, by: str, *, typed: bool = False) -> Entry:
        """Write an entry; it is kept when this returns.

        Args:
            act: what happened.
            at: when [s since 1970 UTC].
            by: initials.
            typed: whether a person typed `at` by the clock on the wall; see `Journal.append`.
        """
        self._sure()
        return self._store.append(at, self.now(), by, act, typed=typed)

    def entries(self) -> list[Entry]:
        """The whole journal."""
        return self._store.entries()

    def next_wheel(self) -> int:
        """The lowest number above all that wheels have had."""
        return self._store.next_wheel()

    def notice(self) -> str:
        """One line about the recorder or the replay; empty when all is well."""
        return self._notice()

    def _sure(self) -> bool:
        """Whether the clock is right; what is written from now on is written under it."""
        return self._stamp is None or self._store.keep_time(self._stamp()).sure
