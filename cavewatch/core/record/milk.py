"""What is on record of the milk of wheels, and the days at warmth that raw milk asks for."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from cavewatch.core import journal
from cavewatch.core.journal import Acidity, Entry, Made, Milk, Treatment
from cavewatch.core.record.ages import Air, Counted, counted, raw_milk
from cavewatch.core.style import MinimumAge
from cavewatch.core.wheel import Wheel


@dataclass(frozen=True, slots=True)
class RawMilk:
    """The days at warmth that raw milk asks for, of wheels that stood together."""

    wheels: tuple[int, ...]
    rule: MinimumAge
    counted: Counted
    left_at: float | None = None
    """When they left the dairy, up to which is counted [s since 1970 UTC]; None while they are
    there."""


def about(entry: Entry, numbers: frozenset[int], lot: str) -> bool:
    """Whether an entry is about these wheels; before there were any, about their lot."""
    if isinstance(entry.act, Milk | Acidity) and not entry.act.wheels:
        return bool(lot) and entry.act.lot.casefold() == lot.casefold()
    return not numbers.isdisjoint(journal.wheels_of(entry.act))


def milk_of(wheel: Wheel, entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """What is on record of a wheel's milk (`Milk`), in order."""
    return tuple(e for e in _of(wheel, entries) if isinstance(e.act, Milk))


def acidity_of(wheel: Wheel, entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Its pH (`Acidity`), in order."""
    return tuple(e for e in _of(wheel, entries) if isinstance(e.act, Acidity))


def open_lot(entries: Iterable[Entry]) -> str:
    """The lot that was last written of and of which there are no wheels yet; empty for none."""
    counting = journal.standing(entries)
    made = {e.act.lot.casefold() for e in counting if isinstance(e.act, Made)}
    lots = [e.act.lot for e in counting if isinstance(e.act, Milk | Acidity) and not e.act.wheels]
    return next((lot for lot in reversed(lots) if lot.casefold() not in made), "")


def treatment(milk: Iterable[Entry]) -> Treatment | None:
    """What was done to milk: the least of what is on record, where several milks went together."""
    done = {entry.act.treatment for entry in milk if isinstance(entry.act, Milk)}
    return next((each for each in Treatment if each in done), None)


def raw_days(
    done: Treatment | None,
    wheels: Iterable[Wheel],
    left: Mapping[int, float],
    at: float,
    airs: Sequence[Air],
) -> tuple[RawMilk, ...]:
    """The days of wheels, those that have been in the same places together.

    Args:
        done: to their milk; None where that is not on record.
        wheels: them.
        left: when those did that left the dairy, by number [s since 1970 UTC].
        at: until when the others are counted [s since 1970 UTC].
        airs: temperatures on record of the places where they stood.
    """
    found: dict[tuple[object, ...], RawMilk] = {}
    for wheel in wheels:
        rule, gone = raw_milk(done, wheel), left.get(wheel.id)
        if rule is None:
            continue
        mate = found.get((wheel.stays, gone))
        numbers = (wheel.id,) if mate is None else (*mate.wheels, wheel.id)
        until = at if gone is None else gone
        days = counted(rule, wheel, until, airs) if mate is None else mate.counted
        found[wheel.stays, gone] = RawMilk(numbers, rule, days, gone)
    return tuple(found.values())


def _of(wheel: Wheel, entries: Iterable[Entry]) -> Iterable[Entry]:
    """The entries that count and are about a wheel or its lot."""
    numbers = frozenset((wheel.id,))
    return (entry for entry in journal.standing(entries) if about(entry, numbers, wheel.lot))
