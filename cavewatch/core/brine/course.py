"""The course of a tub's strength: what it was from time to time, as the journal leads to it."""

import math
from collections.abc import Iterable, Mapping, Sequence

from cavewatch.core import journal
from cavewatch.core.brine.balance import Balance, Event
from cavewatch.core.brine.taken import Taking, takings
from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import BrineMeasured, Entry, Tended
from cavewatch.core.place import Place
from cavewatch.core.wheel import Event as Happened
from cavewatch.core.wheel import Wheel

Acts = Sequence[tuple[float, BrineMeasured | Tended]]
"""What was found in a tub and done to it, with its time [s since 1970 UTC]."""


def acts_on(place: str, entries: Iterable[Entry]) -> list[tuple[float, BrineMeasured | Tended]]:
    """What was found in a tub and done to it."""
    return [
        (entry.at, entry.act)
        for entry in entries
        if isinstance(entry.act, BrineMeasured | Tended) and entry.act.place == place
    ]


def taken(
    place: str,
    wheels: Mapping[int, Wheel],
    gone: Mapping[int, float],
    acts: Acts,
    at: float,
    cuts: Iterable[float] = (),
) -> list[Taking]:
    """What wheels took until a time, in stretches between these acts and more cuts.

    Args:
        place: the tub.
        wheels: every wheel.
        gone: when it leaves the brine, for wheels whose journal does not say so.
        acts: on the tub.
        at: that time [s since 1970 UTC].
        cuts: more times at which to tell how much was taken.
    """
    every = sorted({*(when for when, act in acts if _moves(act)), *cuts})
    return [
        taking
        for number, wheel in wheels.items()
        for taking in takings(place, wheel, gone.get(number), every)
        if taking.at <= at
    ]


def course(
    place: Place,
    entries: Iterable[Entry],
    wheels: Mapping[int, Wheel],
    lifts: Mapping[int, float],
    times: Sequence[float],
) -> tuple[Span | None, ...]:
    """Its strength at these times [% w/w]; None before anything is on record.

    Wheels in it take up salt as the square root of time until they are lifted.

    Args:
        place: a tub.
        entries: the journal.
        wheels: every wheel as the journal has it by then, ended ones included.
        lifts: when wheels now in it are expected to come out [s since 1970 UTC].
        times: rising [s since 1970 UTC].

    Raises:
        CavewatchError: for a place without brine.
    """
    if place.brine is None:
        raise CavewatchError(f"{place.name} is no tub, so it has no brine")
    if not times:
        return ()
    until = times[-1]
    kept = [entry for entry in journal.standing(entries) if entry.at <= until]
    acts = acts_on(place.name, kept)
    gone = {n: max(lift, until) for n, lift in lifts.items()}
    gone |= {n: e.at for e in kept if isinstance(e.act, journal.Ended) for n in e.act.wheels}
    events: list[tuple[float, Event]] = [
        *((each.at, each) for each in taken(place.name, wheels, gone, acts, until, times)),
        *acts,
    ]
    events.sort(key=lambda each: each[0])
    begun = min([*(when for when, _ in acts), *_entered(place.name, wheels)], default=math.inf)
    balance, ahead, found = Balance.of(place.brine), iter(events), list[Span | None]()
    coming = next(ahead, None)
    for at in times:
        while coming is not None and coming[0] <= at:
            balance = balance.then(*coming)
            coming = next(ahead, None)
        found.append(balance.strength if at >= begun else None)
    return tuple(found)


def _moves(act: BrineMeasured | Tended) -> bool:
    """Whether the balance changes by it."""
    return isinstance(act, Tended) or act.strength is not None or act.litres is not None


def _entered(place: str, wheels: Mapping[int, Wheel]) -> Iterable[float]:
    return (
        happening.at
        for wheel in wheels.values()
        for happening in wheel.history
        if happening.event is Happened.IN and happening.place == place
    )
