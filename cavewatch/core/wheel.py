"""Wheels: what the journal says of each, folded into its present standing and its history."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from cavewatch.core import journal
from cavewatch.core.countdown import Action
from cavewatch.core.errors import within
from cavewatch.core.journal import Entry
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.shape import Shape
from cavewatch.core.style import Method, Style, StyleBook

BEFORE = (journal.Milk, journal.Acidity)
"""What is said of a make from before there were wheels; it changes nothing about one."""
COLDEST, WARMEST = 0.0, 45.0
"""Between these a wheel goes to salt [degC]."""


class Standing(StrEnum):
    """Where a wheel is in its life."""

    IN_BRINE = "in brine"
    IN_DRY_SALT = "in dry salt"
    AGING = "aging"
    ENDED = "ended"


class Event(StrEnum):
    """What can happen to a wheel's faces."""

    IN = "in"
    TURNED = "turned"
    SALTED = "salted"
    OUT = "out"


@dataclass(frozen=True, slots=True)
class Happening:
    """One event in a wheel's salting history."""

    at: float
    """[s since 1970 UTC]"""
    event: Event
    place: str
    """Where the wheel was from then on."""
    grams: float = 0.0
    """Salt put on [g], for SALTED."""


@dataclass(frozen=True, slots=True)
class Stay:
    """A wheel's coming to a place."""

    at: float
    """[s since 1970 UTC]"""
    place: str
    kind: PlaceKind


@dataclass(frozen=True, slots=True)
class Wheel:
    """One cheese, of whatever shape."""

    id: int
    """Its number."""
    make: int
    """Number of the entry that made it; the wheels of a make share it."""
    lot: str
    """The maker's label for the make."""
    style: Style
    method: Method
    weight: float
    """As it went to salt [g]."""
    shape: Shape
    """Measured, or from the style's usual proportions."""
    made_at: float
    """[s since 1970 UTC]"""
    floats: bool
    """In brine, whether one face stands out."""
    place: str
    """Where it is now."""
    since: float
    """Since when it is there [s since 1970 UTC]."""
    standing: Standing
    salted_out_at: float | None
    """When its salting was over; None while it goes on or if it was over before the first entry."""
    history: tuple[Happening, ...]
    """From its going in to its coming out, in order."""
    basis: int
    """Number of the newest entry that this picture of it rests on."""
    temperature: float | None = None
    """Its own as it went to salt [degC]; None: as the place."""
    renneted_at: float | None = None
    """[s since 1970 UTC]; None: as `made_at`."""
    moulded_at: float | None = None
    """[s since 1970 UTC]; None: as `made_at`."""
    stays: tuple[Stay, ...] = ()
    """Every place it was in, in order."""
    cared: Mapping[Action, float] = field(default_factory=dict, hash=False)
    """When each work on its rind was done last, salting over [s since 1970 UTC]."""


def own_temperature(celsius: float) -> float:
    """The temperature of a wheel as it goes to salt [degC].

    Raises:
        OutOfRangeError: for what no wheel has then.
    """
    return within("temperature of the wheel", celsius, COLDEST, WARMEST, "degC")


def fold(
    entries: Iterable[Entry], styles: StyleBook, places: Mapping[str, Place]
) -> tuple[dict[int, Wheel], tuple[str, ...]]:
    """Every wheel that the journal names, ended ones included, and what did not fit.

    An entry that does not fit (an unknown style, a wheel that never was) is
    left out and named in the second value; nothing else is lost.
    """
    wheels: dict[int, Wheel] = {}
    misfits: list[str] = []
    counting = journal.standing(entries)
    for entry in counting:
        misfits += _take(entry, wheels, styles, places)
    misfits += [
        f"entry {entry.id}: there is no wheel {number}"
        for entry in counting
        if isinstance(entry.act, BEFORE)
        for number in entry.act.wheels
        if number not in wheels
    ]
    return wheels, tuple(misfits)


def unfolding(
    entries: Iterable[Entry], styles: StyleBook, places: Mapping[str, Place]
) -> Iterator[tuple[Entry, Mapping[int, Wheel]]]:
    """Each entry with every wheel as it was then, by time; the mapping goes on changing."""
    wheels: dict[int, Wheel] = {}
    for entry in journal.standing(entries):
        _take(entry, wheels, styles, places)
        yield entry, wheels


def _take(
    entry: Entry, wheels: dict[int, Wheel], styles: StyleBook, places: Mapping[str, Place]
) -> Iterable[str]:
    """Take one more entry into the wheels; what did not fit, in words."""
    act = entry.act
    if isinstance(act, journal.Made):
        fault = _cannot_make(act, styles, places, wheels)
        if fault:
            return [f"entry {entry.id}: {fault}"]
        for number in act.wheels:
            wheels[number] = _new(number, entry, act, styles[act.style], places[act.place])
        return ()
    if isinstance(act, BEFORE):
        return ()
    misfits = []
    for number in journal.wheels_of(act):
        place = getattr(act, "place", None)
        if number not in wheels:
            misfits.append(f"entry {entry.id}: there is no wheel {number} at that time")
        elif place is not None and place not in places:
            misfits.append(f"entry {entry.id}: there is no place '{place}' in the config")
        else:
            wheels[number] = _after(wheels[number], entry, places)
    return misfits


def _cannot_make(
    act: journal.Made,
    styles: StyleBook,
    places: Mapping[str, Place],
    wheels: Mapping[int, Wheel],
) -> str:
    if act.style not in styles:
        return f"there is no style '{act.style}' in the style book"
    if act.place not in places:
        return f"there is no place '{act.place}' in the config"
    if act.weight <= 0:
        return "a wheel must weigh more than 0 g"
    if act.temperature is not None and not COLDEST <= act.temperature <= WARMEST:
        return f"a wheel goes to salt at {COLDEST:g} to {WARMEST:g} degC, not {act.temperature:g}"
    doubled = [number for number in act.wheels if number in wheels]
    if doubled:
        return f"wheel {doubled[0]} is there already"
    return ""


def _new(number: int, entry: Entry, act: journal.Made, style: Style, place: Place) -> Wheel:
    salting = not act.salting_done and act.method is not Method.MILLED
    standing = Standing.AGING
    history: tuple[Happening, ...] = ()
    if salting:
        standing = Standing.IN_BRINE if act.method is Method.BRINE else Standing.IN_DRY_SALT
        history = (Happening(entry.at, Event.IN, place.name),)
    return Wheel(
        id=number,
        make=entry.id,
        lot=act.lot,
        style=style,
        method=act.method,
        weight=act.weight,
        shape=act.shape or style.proportions.sized(act.weight / style.density.value),
        made_at=entry.at if act.made_at is None else act.made_at,
        floats=act.floats,
        place=place.name,
        since=entry.at,
        standing=standing,
        salted_out_at=None,
        history=history,
        basis=entry.id,
        temperature=act.temperature,
        renneted_at=act.renneted_at,
        moulded_at=act.moulded_at,
        stays=(Stay(entry.at, place.name, place.kind),),
    )


def _after(wheel: Wheel, entry: Entry, places: Mapping[str, Place]) -> Wheel:
    """The wheel after one more entry."""
    act, at = entry.act, entry.at
    to = getattr(act, "place", None)
    if to is not None:
        stay = Stay(at, to, places[to].kind)
        wheel = replace(wheel, stays=(*wheel.stays, stay))
    wheel = replace(wheel, basis=max(wheel.basis, entry.id))
    salting = wheel.standing in (Standing.IN_BRINE, Standing.IN_DRY_SALT)
    if isinstance(act, journal.Turned) and salting:
        return _with(wheel, Happening(at, Event.TURNED, wheel.place))
    if isinstance(act, journal.Turned):
        return replace(wheel, cared={**wheel.cared, Action.TURN: at})
    if isinstance(act, journal.Washed):
        return replace(wheel, cared={**wheel.cared, Action(act.how): at})
    if isinstance(act, journal.Salted) and salting:
        return _with(wheel, Happening(at, Event.SALTED, wheel.place, act.grams))
    if isinstance(act, journal.Lifted):
        place = act.place or wheel.place
        moved = replace(wheel, place=place, since=at if act.place else wheel.since)
        if not salting:
            return moved
        return _with(
            replace(moved, standing=Standing.AGING, salted_out_at=at),
            Happening(at, Event.OUT, place),
        )
    if isinstance(act, journal.Moved):
        moved = replace(wheel, place=act.place, since=at)
        if places[act.place].kind is PlaceKind.TUB:
            return _with(
                replace(moved, standing=Standing.IN_BRINE, salted_out_at=None),
                Happening(at, Event.IN, act.place),
            )
        if wheel.standing is Standing.IN_BRINE:
            return _with(
                replace(moved, standing=Standing.AGING, salted_out_at=at),
                Happening(at, Event.OUT, act.place),
            )
        return moved
    if isinstance(act, journal.Ended):
        return replace(wheel, standing=Standing.ENDED)
    return wheel


def _with(wheel: Wheel, happening: Happening) -> Wheel:
    return replace(wheel, history=(*wheel.history, happening))
