"""What is to be known of one wheel's salt and days, worked out from what a store holds.

It takes a while and loads numpy, so that it is done in a thread of its own.
"""

import contextlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from threading import Lock
from typing import TYPE_CHECKING

from cavewatch import clock
from cavewatch.cli.making.facts import raw_of
from cavewatch.core import journal
from cavewatch.core.brine.life import life
from cavewatch.core.countdown import Countdown
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Assayed, Entry, Weighed
from cavewatch.core.place import Place
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.record import RawMilk
from cavewatch.core.signal.record import UNKNOWN, SensorRecord
from cavewatch.core.style import StyleBook
from cavewatch.core.uptake import Cut, Uptake
from cavewatch.core.wheel import Standing, Wheel, fold
from cavewatch.recorder.record import DAY, HOUR, record
from cavewatch.store import Store

if TYPE_CHECKING:
    from cavewatch.core.salting.countdowns import Rates
    from cavewatch.core.salting.surroundings import Surroundings
    from cavewatch.core.salting.whole import Known, Whole

IN_SALT = (Standing.IN_BRINE, Standing.IN_DRY_SALT)
FOLLOWED, FOLLOWED_AGING = HOUR, 6 * HOUR
"""A wheel is worked out anew at this interval, as temperatures go on [s]."""
MOST = 8
"""Wheels that are kept worked out."""

Warmth = tuple[Sequence[float], Sequence[float]]
"""Times and temperatures, as `recorder.record` gives them."""


@dataclass(frozen=True, slots=True)
class Facts:
    """All that the salt of a wheel is worked out from."""

    wheel: Wheel
    at: float
    """[s since 1970 UTC]"""
    every: Mapping[int, Wheel]
    """Every wheel that there was, by number."""
    entries: Sequence[Entry]
    """The journal until then."""
    styles: StyleBook
    places: Sequence[Place]
    warmth: Mapping[str, Warmth]
    """Of every place, as it was until now."""
    warmth_then: Mapping[str, Warmth]
    """As it was known when the wheel went in."""
    plans: Mapping[int, Countdown]
    """The countdowns as people see them, by wheel."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a desk knows when it is asked about a wheel."""

    at: float
    """Now [s since 1970 UTC]."""
    store: Store
    """With the readings."""
    entries: Sequence[Entry]
    """The journal until now."""
    styles: StyleBook
    places: Sequence[Place]
    records: Mapping[Channel, SensorRecord]
    """Checks of the sensors."""
    plans: Mapping[int, Countdown]
    """The countdowns as people see them, by wheel."""


class WheelFacts:
    """The wheels of one desk, each worked out once for the same facts; for use in threads."""

    def __init__(self) -> None:
        """Nothing is worked out yet."""
        self._kept: dict[int, tuple[object, Working]] = {}
        self._raw: dict[int, tuple[object, RawMilk | None]] = {}
        self._lock = Lock()

    def uptake(self, number: int, asked: Asked) -> Uptake | None:
        """How a wheel takes up salt; None for one whose salting is not on record."""
        with self._lock:
            working = self._working(number, asked)
            return None if working is None else working.uptake()

    def cut(self, number: int, at: float, asked: Asked) -> Cut | None:
        """A wheel cut through at a time [s since 1970 UTC]; likewise."""
        with self._lock:
            working = self._working(number, asked)
            return None if working is None else working.whole.cut(at)

    def raw_milk(self, number: int, asked: Asked) -> RawMilk | None:
        """The days at warmth that raw milk asks for of a wheel; None where it asks for none."""
        known = _newest(asked), asked.store, asked.at // HOUR
        with self._lock:
            before, found = self._raw.get(number, (None, None))
            if before != known:
                wheel = fold(asked.entries, asked.styles, _named(asked.places))[0].get(number)
                found = (
                    None if wheel is None else raw_of(asked.store, wheel, asked.entries, asked.at)
                )
                self._raw[number] = known, found
            return found

    def _working(self, number: int, asked: Asked) -> "Working | None":
        """The same one until facts change."""
        known = _newest(asked), asked.store, asked.plans.get(number)
        if number in self._kept:
            before, working = self._kept[number]
            if before == (known, _stretch(working.facts.wheel, asked.at)):
                return working
        facts = _gathered(number, asked)
        if facts is None:
            return None
        self._kept.pop(number, None)
        self._kept[number] = (known, _stretch(facts.wheel, asked.at)), Working(facts)
        while len(self._kept) > MOST:
            del self._kept[next(iter(self._kept))]
        return self._kept[number][1]


class Working:
    """One wheel, worked out when it is asked for."""

    def __init__(self, facts: Facts) -> None:
        """Work out nothing yet."""
        self.facts = facts
        self._uptake: Uptake | None = None

    def uptake(self) -> Uptake:
        """How it takes up salt, and its plan."""
        from cavewatch.core.salting.whole import planned  # noqa: PLC0415  loads numpy

        if self._uptake is None:
            facts = self.facts
            plan = planned(facts.wheel, _known_then(facts))
            stored = facts.plans.get(facts.wheel.id)
            self._uptake = self.whole.uptake(plan, stored, clock.duration)
        return self._uptake

    @cached_property
    def whole(self) -> "Whole":
        """Its salting."""
        from cavewatch.core.salting.whole import Whole  # noqa: PLC0415  loads numpy

        return Whole(self.facts.wheel, _known(self.facts))


def _newest(asked: Asked) -> int:
    return asked.entries[-1].id if asked.entries else 0


def _named(places: Iterable[Place]) -> dict[str, Place]:
    return {place.name: place for place in places}


def _stretch(wheel: Wheel, at: float) -> float:
    return at // (FOLLOWED if wheel.standing in IN_SALT else FOLLOWED_AGING)


def _gathered(number: int, asked: Asked) -> Facts | None:
    """The facts of a wheel; None if its salting is not among them."""
    at, entries = asked.at, asked.entries
    every, _ = fold(entries, asked.styles, _named(asked.places))
    wheel = every.get(number)
    if wheel is None or not wheel.history:
        return None
    if wheel.standing not in IN_SALT and wheel.salted_out_at is None:
        return None
    bearing = [each for each in _bearing(wheel, every, entries) if each.history]
    begun, since = wheel.history[0].at, min(each.history[0].at for each in bearing)
    now, then = (
        {
            place.name: record(asked.store, place, _sensor(asked.records, place), start, until)
            for place in asked.places
        }
        for start, until in ((since - HOUR, at), (begun - DAY, begun))
    )
    return Facts(wheel, at, every, entries, asked.styles, asked.places, now, then, asked.plans)


def _bearing(wheel: Wheel, every: Mapping[int, Wheel], entries: Iterable[Entry]) -> Iterable[Wheel]:
    """The wheels whose own salting bears on this one's: in the brine with it, or measured."""
    yield wheel
    measured = {
        number
        for entry in entries
        if isinstance(entry.act, Assayed | Weighed)
        for number in entry.act.wheels
    }
    begun = wheel.history[0].at
    for each in every.values():
        beside = each.salted_out_at is None or each.salted_out_at > begun
        if each.id in measured or (each.standing is not Standing.ENDED and beside):
            yield each


def _sensor(records: Mapping[Channel, SensorRecord], place: Place) -> SensorRecord:
    return records.get(Channel(place.name, Quantity.TEMPERATURE), UNKNOWN)


def _known(facts: Facts) -> "Known":
    """What is known now; brines as the wheels in them leave them."""
    from cavewatch.core.salting.tubs import curve  # noqa: PLC0415  loads numpy
    from cavewatch.core.salting.whole import Known  # noqa: PLC0415  loads numpy

    around = _around(facts, facts.warmth, facts.entries, facts.every, facts.at)
    rates = _rates(facts, facts.entries, facts.every, around)
    for place in facts.places:
        if facts.wheel.standing in IN_SALT and place.name == facts.wheel.place:
            # A balance that cannot be is told in the tub's life; its brine then stays as it was.
            with contextlib.suppress(CavewatchError):
                found = curve(
                    place, facts.entries, facts.every, facts.plans, around, rates, facts.at
                )
                if found is not None:
                    brined = replace(around[place.name], strengths=found.strengths)
                    around[place.name] = brined
    return Known(facts.at, around, rates)


def _known_then(facts: Facts) -> "Known":
    """What was known when the wheel went in."""
    from cavewatch.core.salting.whole import Known  # noqa: PLC0415  loads numpy

    begun = facts.wheel.history[0].at
    entries = [entry for entry in facts.entries if entry.at <= begun]
    every, _ = fold(entries, facts.styles, _named(facts.places))
    around = _around(facts, facts.warmth_then, entries, every, begun)
    before = _around(facts, facts.warmth, entries, every, begun)
    return Known(begun, around, _rates(facts, entries, every, before))


def _around(
    facts: Facts,
    warmth: Mapping[str, Warmth],
    entries: Sequence[Entry],
    every: Mapping[int, Wheel],
    at: float,
) -> "dict[str, Surroundings]":
    from cavewatch.core.salting.clock import WarmthRecord  # noqa: PLC0415  loads numpy
    from cavewatch.core.salting.surroundings import Surroundings  # noqa: PLC0415  loads numpy

    def strengths(place: Place) -> tuple[tuple[float, float], ...]:
        return () if place.brine is None else life(place, entries, every, at).strengths

    return {
        place.name: Surroundings(WarmthRecord(*warmth[place.name]), strengths(place))
        for place in facts.places
    }


def _rates(
    facts: Facts,
    entries: Sequence[Entry],
    every: Mapping[int, Wheel],
    around: "Mapping[str, Surroundings]",
) -> "Rates":
    from cavewatch.core.salting.learning import learned, measured  # noqa: PLC0415  loads numpy

    wheels = {n: every[n] for n in measured(entries) if n in every and every[n].history}
    return learned(facts.styles, wheels, journal.standing(entries), around).rates
