"""The make sheet: all that is on record of one make, from its milk to where its wheels went."""

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass

from cavewatch.core import journal
from cavewatch.core.brine.life import life
from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Acidity, Entry, Made, Milk, SensorChecked, Treatment
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.reading import Channel
from cavewatch.core.record.ages import Air
from cavewatch.core.record.gaps import Gap
from cavewatch.core.record.lines import Line, lines
from cavewatch.core.record.milk import RawMilk, about, raw_days, treatment
from cavewatch.core.record.occurrences import Occurrence, named
from cavewatch.core.record.weights import WeightCurve, weights
from cavewatch.core.style import StyleBook
from cavewatch.core.wheel import Wheel, fold


class RecordError(CavewatchError):
    """Something is asked of the record that is not in it."""


@dataclass(frozen=True, slots=True)
class Stood:
    """Wheels in one place, from their coming to their going."""

    place: str
    since: float
    """[s since 1970 UTC]"""
    until: float
    """[s since 1970 UTC]; the time of the sheet for those that are still there."""
    wheels: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class BrineUse:
    """A tub as wheels of the make were in its brine."""

    stood: Stood
    going_in: Span
    """Strength as predicted when they went in, from what was measured [% w/w]."""
    coming_out: Span
    """The same when they came out, or by the time of the sheet [% w/w]."""
    tests: tuple[Entry, ...]
    """What was measured (`BrineMeasured`) or done (`Tended`) meanwhile, and the last test before
    they went in."""


@dataclass(frozen=True, slots=True)
class Missing:
    """A stretch without readings of a channel while wheels of the make stood there."""

    channel: Channel
    gap: Gap


@dataclass(frozen=True, slots=True)
class MakeSheet:
    """One make."""

    at: float
    """When the sheet was drawn up [s since 1970 UTC]."""
    made: Entry
    """The entry that began it; its act is `Made`."""
    wheels: tuple[Wheel, ...]
    """All of the make, ended ones included, by number."""
    ended: Mapping[int, Entry]
    """How each wheel left that did, by number; the acts are `Ended`."""
    milk: tuple[Entry, ...]
    """What is on record of its milk (`Milk`), in order."""
    acidity: tuple[Entry, ...]
    """Its pH (`Acidity`), in order."""
    stood: tuple[Stood, ...]
    """Where its wheels stood, in order."""
    brines: tuple[BrineUse, ...]
    raw: tuple[RawMilk, ...]
    """Empty unless its milk was not pasteurised."""
    weights: tuple[WeightCurve, ...]
    """By wheel."""
    lines: tuple[Line, ...]
    """Every entry about it, those that were corrected included, in order."""
    alarms: tuple[Occurrence, ...]
    """Of its places while it stood there, and of its wheels."""
    checks: tuple[Entry, ...]
    """Checks of those places' sensors (`SensorChecked`), the last before it came included."""
    missing: tuple[Missing, ...]
    """Stretches without readings."""

    @property
    def batch(self) -> Made:
        """What the entry that began it says."""
        assert isinstance(self.made.act, Made)
        return self.made.act

    @property
    def treatment(self) -> Treatment | None:
        """What was done to its milk; None where that is not on record."""
        return treatment(self.milk)


def make_sheet(
    number: int,
    entries: Sequence[Entry],
    styles: StyleBook,
    places: Mapping[str, Place],
    at: float,
    airs: Iterable[Air] = (),
    alarms: Iterable[Occurrence] = (),
    missing: Iterable[Missing] = (),
) -> MakeSheet:
    """The sheet of the make that a wheel is of.

    Args:
        number: of the wheel.
        entries: the whole journal.
        styles: the style book.
        places: of the config, by name.
        at: when it is drawn up [s since 1970 UTC].
        airs: temperatures on record of the places in `whereabouts`.
        alarms: all on record; those of other places and times are left out.
        missing: of those places, likewise.

    Raises:
        RecordError: for a wheel that is on no record.
    """
    entries = [entry for entry in entries if entry.at <= at]
    every, _ = fold(entries, styles, places)
    made = _made(number, every, entries)
    wheels = tuple(wheel for _, wheel in sorted(every.items()) if wheel.make == made.id)
    numbers = frozenset(wheel.id for wheel in wheels)
    lot = wheels[0].lot
    standing = journal.standing(entries)
    stood, ended = whereabouts(wheels, entries, at), _ended(standing, numbers)
    milk = tuple(e for e in standing if isinstance(e.act, Milk) and about(e, numbers, lot))
    return MakeSheet(
        at=at,
        made=made,
        wheels=wheels,
        ended=ended,
        milk=milk,
        acidity=tuple(e for e in standing if isinstance(e.act, Acidity) and about(e, numbers, lot)),
        stood=stood,
        brines=tuple(
            _brine(stay, entries, styles, places)
            for stay in stood
            if places[stay.place].kind is PlaceKind.TUB
        ),
        raw=raw_days(
            treatment(milk),
            wheels,
            {wheel: entry.at for wheel, entry in ended.items()},
            at,
            tuple(airs),
        ),
        weights=tuple(weights(wheel, entries) for wheel in wheels),
        lines=tuple(line for line in lines(entries) if about(line.entry, numbers, lot)),
        alarms=tuple(each for each in alarms if concerns(each, stood, numbers)),
        checks=_checks(standing, stood),
        missing=tuple(
            each
            for each in missing
            if any(
                _meets(stay, each.channel.place, each.gap.since, each.gap.until) for stay in stood
            )
        ),
    )


def whereabouts(wheels: Iterable[Wheel], entries: Iterable[Entry], at: float) -> tuple[Stood, ...]:
    """Where wheels stood until a time [s since 1970 UTC], those that stood together as one."""
    wheels = tuple(wheels)
    ended = _ended(journal.standing(entries), frozenset(wheel.id for wheel in wheels))
    found: dict[tuple[float, float, str], list[int]] = {}
    for wheel in wheels:
        gone = ended[wheel.id].at if wheel.id in ended else at
        ends = [*(stay.at for stay in wheel.stays[1:]), gone]
        for stay, end in zip(wheel.stays, ends, strict=True):
            found.setdefault((stay.at, end, stay.place), []).append(wheel.id)
    return tuple(
        Stood(place, since, until, tuple(there))
        for (since, until, place), there in sorted(found.items())
    )


def _made(number: int, every: Mapping[int, Wheel], entries: Iterable[Entry]) -> Entry:
    if number not in every:
        raise RecordError(
            f"there is no wheel {number} on record; 'cavewatch make list' shows every make"
        )
    return next(entry for entry in entries if entry.id == every[number].make)


def _ended(standing: Iterable[Entry], numbers: frozenset[int]) -> dict[int, Entry]:
    return {
        number: entry
        for entry in standing
        if isinstance(entry.act, journal.Ended)
        for number in entry.act.wheels
        if number in numbers
    }


def _brine(
    stood: Stood, entries: Sequence[Entry], styles: StyleBook, places: Mapping[str, Place]
) -> BrineUse:
    def strength(at: float) -> Span:
        then = [entry for entry in entries if entry.at <= at]
        return life(places[stood.place], then, fold(then, styles, places)[0], at).strength

    work = [
        entry
        for entry in journal.standing(entries)
        if isinstance(entry.act, journal.BrineMeasured | journal.Tended)
        and entry.act.place == stood.place
        and entry.at <= stood.until
    ]
    before = [e for e in work if e.at < stood.since and isinstance(e.act, journal.BrineMeasured)]
    meanwhile = [entry for entry in work if entry.at >= stood.since]
    return BrineUse(stood, strength(stood.since), strength(stood.until), (*before[-1:], *meanwhile))


def concerns(found: Occurrence, stood: Iterable[Stood], numbers: Set[int]) -> bool:
    """Whether an alarm was of a place while wheels stood there, or of one of them."""
    wheels = named(found.alarm.key)
    if wheels:
        return not wheels.isdisjoint(numbers)
    until = float("inf") if found.until is None else found.until
    return any(
        _meets(stay, stay.place, found.since, until)
        for stay in stood
        if found.alarm.place == stay.place or found.alarm.key.startswith(f"{stay.place}.")
    )


def _meets(stay: Stood, place: str, since: float, until: float) -> bool:
    return stay.place == place and since < stay.until and until > stay.since


def _checks(standing: Iterable[Entry], stood: Sequence[Stood]) -> tuple[Entry, ...]:
    """Checks of the sensors of places while wheels were there, and the last one before."""
    until: dict[str, float] = {}
    since: dict[str, float] = {}
    for stay in stood:
        until[stay.place] = max(stay.until, until.get(stay.place, stay.until))
        since[stay.place] = min(stay.since, since.get(stay.place, stay.since))
    kept: list[Entry] = []
    before: dict[str, Entry] = {}
    for entry in standing:
        act = entry.act
        if not isinstance(act, SensorChecked):
            continue
        place = act.channel.rpartition(".")[0]
        if place not in since or entry.at > until[place]:
            continue
        if entry.at < since[place]:
            before[act.channel] = entry
        else:
            kept.append(entry)
    return tuple(sorted((*before.values(), *kept), key=lambda entry: (entry.at, entry.id)))
