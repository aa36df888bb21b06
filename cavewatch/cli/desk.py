"""The desk of a dairy whose facts are in a store: what screens and commands look through."""

import math
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from cavewatch.cli.making.facts import sheet_of
from cavewatch.cli.planning import Planning
from cavewatch.cli.wheel_facts import Asked, WheelFacts
from cavewatch.clock import Clock, Stamp
from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.brine.predicted import Predicted
from cavewatch.core.countdown import Countdown
from cavewatch.core.dairy import Dairy, Folded, picture
from cavewatch.core.journal import Act, Entry
from cavewatch.core.place import Place
from cavewatch.core.planner import Answer, Question
from cavewatch.core.reading import Channel, Reading
from cavewatch.core.record import MakeSheet, Occurrence, RawMilk, occurrences
from cavewatch.core.series import Bins, Series
from cavewatch.core.signal.record import UNKNOWN
from cavewatch.core.style import StyleBook
from cavewatch.core.uptake import Cut, Uptake
from cavewatch.store import Store
from cavewatch.units import Display

if TYPE_CHECKING:
    from cavewatch.screens.desk import ReplayControls

AGED = 10.0
"""A picture older than this is drawn anew even if no fact came: ages and stages move [s]."""


class StoreDesk:
    """Reads the store, folds the picture, appends entries; see `cavewatch.screens.desk.Desk`."""

    replay: "ReplayControls | None" = None

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
        self._latest: dict[Channel, Reading] = {}
        self._alarms: dict[str, Alarm] = {}
        self._countdowns: list[Countdown] = []
        self._brines: list[Predicted] = []
        self._doubts: list[str] = []
        self._wheels = WheelFacts()
        self._planning = Planning()
        self._folded_from: list[Entry] = []
        self._folded = Folded.of((), styles, self.places)
        self._stale = True
        self._drawn_at = 0.0
        self._drawn: Dairy | None = None

    def now(self) -> float:
        """The present [s since 1970 UTC]."""
        return self._clock()

    def switched(self, display: Display) -> None:
        """Show values in other units from now on."""
        self.display = display

    def changed(self) -> bool:
        """True if something is new since the last picture."""
        if self._store.changed():
            self._stale = True
        return self._stale or abs(self.now() - self._drawn_at) > AGED

    def picture(self) -> Dairy:
        """The present picture."""
        if self._store.changed() or self._stale:
            self._read_on()
            self._latest = self._store.latest()
            self._alarms = self._store.alarms()
            self._countdowns = self._store.countdowns()
            self._brines = self._store.brines()
            self._doubts = self._store.doubts()
            self._stale = False
        self._drawn_at = self.now()
        entries = [entry for entry in self._entries if entry.at <= self._drawn_at]
        if entries != self._folded_from:
            self._folded_from = entries
            self._folded = Folded.of(entries, self.styles, self.places)
        self._drawn = picture(
            self._drawn_at,
            self.places,
            self._channels,
            self.styles,
            entries,
            self._latest,
            [alarm.worded(self.display.told) for alarm in self._alarms.values()],
            self._countdowns,
            self._folded,
            brines=self._brines,
            doubts=self._doubts,
            clock_sure=self._sure(),
        )
        return self._drawn

    def series(self, channel: Channel, bins: Bins) -> Series:
        """A channel in these bins, by roll-ups as coarse as they allow; corrected by the checks."""
        record = self._folded.records.get(channel, UNKNOWN)
        if not record.calibrations:
            rows = self._store.gathered(channel, bins.length, bins.since, bins.until)
            return Series.of(bins, rows)
        checked = sorted(c.at for c in record.calibrations if bins.since < c.at < bins.until)
        found = (
            each._replace(
                mean=record.believed(channel.quantity, each.mean, since),
                low=record.believed(channel.quantity, each.low, since),
                high=record.believed(channel.quantity, each.high, since),
            )
            for since, until in pairwise((bins.since, *checked, bins.until))
            for each in self._store.gathered(channel, bins.length, since, until)
        )
        return Series.of(bins, found)

    def transitions(self, since: float, until: float) -> list[Transition]:
        """What the alarms did in a span, by time."""
        return [t.worded(self.display.told) for t in self._store.transitions(since, until)]

    def uptake(self, number: int) -> Callable[[], Uptake | None]:
        """How a wheel takes up salt, to be worked out in a thread."""
        return partial(self._wheels.uptake, number, self._asked())

    def cut(self, number: int, at: float) -> Callable[[], Cut | None]:
        """A wheel cut through at a time, to be worked out in a thread."""
        return partial(self._wheels.cut, number, at, self._asked())

    def plan(self, question: Question) -> Callable[[], Answer]:
        """What a question of the planner's comes to, to be worked out in a thread."""
        dairy, entries = self._drawn or self.picture(), self.entries()
        return self._planning.of(
            question, dairy, entries, self._store, self.styles, self.zone, self.now()
        )

    def make_sheet(self, number: int) -> Callable[[], MakeSheet]:
        """All that is on record of the make of a wheel, to be read in a thread."""
        return partial(
            sheet_of,
            self._store,
            number,
            self.entries(),
            self.styles,
            {place.name: place for place in self.places},
            self._channels,
            self.display.told,
            self.now(),
        )

    def raw_milk(self, number: int) -> Callable[[], RawMilk | None]:
        """The days that raw milk asks for of a wheel, to be counted in a thread."""
        return partial(self._wheels.raw_milk, number, self._asked())

    def _asked(self) -> Asked:
        """What is known now, for a thread to work with."""
        return Asked(
            self.now(),
            self._store,
            self.entries(),
            self.styles,
            self.places,
            self._folded.records,
            {each.wheel: each for each in self._countdowns},
        )

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
        return list(self._read_on())

    def occurrences(self) -> tuple[Occurrence, ...]:
        """Each time that an alarm came, with what was done about it."""
        return occurrences(self.transitions(0.0, math.inf), self._read_on())

    def next_wheel(self) -> int:
        """The lowest number above all that wheels have had."""
        return self._store.next_wheel()

    def notice(self) -> str:
        """One line about the recorder or the replay; empty when all is well."""
        return self._notice()

    def _sure(self) -> bool:
        """Whether the clock is right; what is written from now on is written under it."""
        return self._stamp is None or self._store.keep_time(self._stamp()).sure

    def _read_on(self) -> list[Entry]:
        """The whole journal, read on from where it was; all of it where it was placed anew."""
        generation = self._store.generation()
        if generation != self._generation:
            self._generation, self._entries = generation, []
        newest = self._entries[-1].id if self._entries else 0
        self._entries += self._store.entries(after=newest)
        return self._entries
