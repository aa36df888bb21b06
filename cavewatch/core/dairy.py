"""The picture: everything known about the dairy at one moment, as one frozen value.

Screens and commands draw it; they never change it.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Self

from cavewatch.core.air import dew_point
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.alarms.table import State
from cavewatch.core.brine.life import TubLife, life
from cavewatch.core.brine.predicted import Predicted
from cavewatch.core.care import care
from cavewatch.core.countdown import Countdown
from cavewatch.core.due import Task, tasks, tests
from cavewatch.core.errors import OutOfRangeError
from cavewatch.core.journal import Entry
from cavewatch.core.place import Place
from cavewatch.core.ranges import Range, range_of
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.signal.due import CheckDue, checks_due
from cavewatch.core.signal.record import UNKNOWN, SensorRecord, records
from cavewatch.core.style import StyleBook
from cavewatch.core.wheel import Standing, Wheel, fold


@dataclass(frozen=True, slots=True)
class ChannelView:
    """One channel with what it may read."""

    channel: Channel
    reading: Reading | None
    """The newest, corrected by the sensor's last check; None if there has been none."""
    range: Range
    silent: bool
    """True if the newest reading is too old to count, or there is none."""
    record: SensorRecord = UNKNOWN
    """What the maker did with its sensor."""

    @property
    def misses(self) -> float:
        """How far the reading is outside its range: negative below, positive above, 0 inside."""
        if self.reading is None or self.reading.value is None:
            return 0.0
        return self.range.misses(self.reading.value)


@dataclass(frozen=True, slots=True)
class PlaceView:
    """One place with what is measured there and who is in it."""

    place: Place
    channels: tuple[ChannelView, ...]
    """Temperature before humidity."""
    dew_point: float | None
    """[degC]; None unless both temperature and humidity are fresh."""
    life: TubLife | None
    """A tub's brine and what went through it; None for other places."""
    wheels: tuple[int, ...]
    """Numbers of the wheels there."""

    @property
    def measured(self) -> dict[Quantity, float]:
        """What is measured there and not too old to count [each in its unit]."""
        return {
            view.channel.quantity: view.reading.value
            for view in self.channels
            if not view.silent and view.reading is not None and view.reading.value is not None
        }

    @property
    def strength(self) -> float | None:
        """A tub's brine as it is by now [% w/w]."""
        return None if self.life is None else self.life.strength.expected


@dataclass(frozen=True, slots=True)
class Dairy:
    """The whole picture."""

    at: float
    """The moment it shows [s since 1970 UTC]."""
    places: tuple[PlaceView, ...]
    """In the order of the config."""
    wheels: Mapping[int, Wheel]
    """All that have not ended, by number."""
    countdowns: Mapping[int, Countdown]
    """For wheels in brine or dry salt, by number."""
    pending: frozenset[int]
    """Wheels in salt whose countdown is still being worked out after an entry."""
    tasks: tuple[Task, ...]
    """Soonest first."""
    alarms: tuple[Alarm, ...]
    """Those not in NORM: unacknowledged first, then by priority, then newest first."""
    misfits: tuple[str, ...]
    """Journal entries that did not fit, or were not believed, in words."""
    clock_sure: bool = True
    """False while the machine's clock is not set, so that every time to come is uncertain."""

    @property
    def checks(self) -> tuple[CheckDue, ...]:
        """The next check of every sensor, soonest first, those never checked last.

        They are no tasks: none is urgent, and one that is late has an alarm, which is low.
        """
        known = {view.channel: view.record for place in self.places for view in place.channels}
        return checks_due(known, self.at)


@dataclass(frozen=True, slots=True)
class Folded:
    """What the journal alone tells: the same at any moment by which no other entry counts."""

    wheels: Mapping[int, Wheel]
    """All, those that have ended too, by number."""
    misfits: tuple[str, ...]
    """Entries that did not fit, in words."""
    records: Mapping[Channel, SensorRecord]
    """Of the sensors."""
    lives: Mapping[str, TubLife]
    """Of tubs, by name; wheels now in one have taken nothing yet."""

    @classmethod
    def of(cls, entries: Iterable[Entry], styles: StyleBook, places: Iterable[Place]) -> Self:
        """Fold these entries, all of which count."""
        told, named = list(entries), {place.name: place for place in places}
        wheels, misfits = fold(told, styles, named)
        tubs = [place for place in named.values() if place.brine is not None]
        lives = {tub.name: life(tub, told, wheels, math.inf) for tub in tubs}
        return cls(wheels, misfits, records(told), lives)


def picture(
    at: float,
    places: Iterable[Place],
    channels: Mapping[Channel, float],
    styles: StyleBook,
    entries: Iterable[Entry],
    latest: Mapping[Channel, Reading],
    alarms: Iterable[Alarm],
    countdowns: Iterable[Countdown],
    folded: Folded | None = None,
    brines: Iterable[Predicted] = (),
    doubts: Iterable[str] = (),
    clock_sure: bool = True,
) -> Dairy:
    """Fold facts into the picture of one moment.

    Args:
        at: that moment [s since 1970 UTC].
        places: in the order to show.
        channels: every configured channel with the age at which it counts as silent [s].
        styles: the style book.
        entries: the whole journal.
        latest: newest reading of each channel, as its sensor sent it.
        alarms: alarms as they stand.
        countdowns: as worked out last.
        folded: the entries up to that moment, where they were folded before; who draws
            often saves most of the work.
        brines: of tubs that wheels are in, as worked out last.
        doubts: measurements of wheels that were left out, in words.
        clock_sure: whether the machine's clock is right.
    """
    places = tuple(places)
    if folded is None:
        folded = Folded.of((entry for entry in entries if entry.at <= at), styles, places)
    alive = {n: wheel for n, wheel in folded.wheels.items() if wheel.standing is not Standing.ENDED}
    in_salt = {
        n for n, w in alive.items() if w.standing in (Standing.IN_BRINE, Standing.IN_DRY_SALT)
    }
    solved = {c.wheel: c for c in countdowns if c.wheel in in_salt}
    pending = frozenset(n for n in in_salt if n not in solved or solved[n].basis < alive[n].basis)
    predicted = {brine.place: brine for brine in brines}
    fresh = {n: c for n, c in solved.items() if n not in pending}
    views = tuple(
        _place_view(at, place, channels, alive, folded, latest, predicted.get(place.name))
        for place in places
    )
    lives = {view.place.name: view.life for view in views if view.life is not None}
    due = (*tasks(fresh.values(), alive), *care(alive, at), *tests(lives, at))
    return Dairy(
        at=at,
        places=views,
        wheels=alive,
        countdowns=solved,
        pending=pending,
        tasks=tuple(sorted(due, key=lambda task: (task.at.expected, task.wheels))),
        alarms=tuple(sorted((a for a in alarms if a.state is not State.NORM), key=_urgency)),
        misfits=(*folded.misfits, *doubts),
        clock_sure=clock_sure,
    )


def _urgency(alarm: Alarm) -> tuple[int, int, float]:
    weight = {"high": 0, "medium": 1, "low": 2}
    return _ORDER.index(alarm.state), weight[alarm.priority.value], -alarm.since


_ORDER = (
    State.UNACK,
    State.LATCHED_UNACK,
    State.ACKED,
    State.RTNUN,
    State.LATCHED_ACKED,
    State.SHLVD,
    State.DSUPR,
    State.OOSRV,
)


def _place_view(
    at: float,
    place: Place,
    channels: Mapping[Channel, float],
    alive: Mapping[int, Wheel],
    folded: Folded,
    latest: Mapping[Channel, Reading],
    predicted: Predicted | None,
) -> PlaceView:
    here = {n: wheel for n, wheel in alive.items() if wheel.place == place.name}
    known = folded.records
    probed = [
        channel for quantity in Quantity if (channel := Channel(place.name, quantity)) in channels
    ]
    latest = {
        channel: known.get(channel, UNKNOWN).corrected(latest[channel])
        for channel in probed
        if channel in latest
    }
    silent = {
        channel
        for channel in probed
        if (last := latest.get(channel)) is None or at - last.at > channels[channel]
    }
    fresh = {
        channel.quantity: value
        for channel in probed
        if channel not in silent and (value := latest[channel].value) is not None
    }
    views = tuple(
        ChannelView(
            channel=channel,
            reading=latest.get(channel),
            range=range_of(place, channel.quantity, here.values(), at, fresh),
            silent=channel in silent,
            record=known.get(channel, UNKNOWN),
        )
        for channel in probed
    )
    brine = folded.lives.get(place.name)
    return PlaceView(
        place,
        views,
        _dew_point(fresh),
        None if brine is None else brine.by(predicted),
        tuple(here),
    )


def _dew_point(fresh: Mapping[Quantity, float]) -> float | None:
    temperature = fresh.get(Quantity.TEMPERATURE)
    humidity = fresh.get(Quantity.HUMIDITY)
    if temperature is None or humidity is None:
        return None
    try:
        return dew_point(temperature, humidity)
    except OutOfRangeError:
        return None
