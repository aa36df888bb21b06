"""What the journal tells of a place's past: whose range counted when, and what was done there."""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from cavewatch.core import journal
from cavewatch.core.journal import Entry
from cavewatch.core.place import Place
from cavewatch.core.ranges import NOTHING, Range, range_of
from cavewatch.core.reading import Quantity
from cavewatch.core.stages import staged
from cavewatch.core.style import StyleBook
from cavewatch.core.wheel import Standing, Wheel, unfolding

Ranges = Sequence[tuple[float, Range]]
"""Each with the time from which it holds [s since 1970 UTC], soonest first."""


@dataclass(frozen=True, slots=True)
class PlaceHistory:
    """A span of a place's past."""

    ranges: Mapping[Quantity, Ranges]
    """The first of each holds from the beginning of the span."""
    entries: tuple[Entry, ...]
    """What is about the place, its sensors, its alarms or wheels in it, by time; a wheel
    that leaves is about the place that it leaves, too."""


def place_history(
    place: Place,
    quantities: Iterable[Quantity],
    entries: Iterable[Entry],
    styles: StyleBook,
    places: Mapping[str, Place],
    since: float,
    until: float,
    measured: Callable[[float], Mapping[Quantity, float]] = lambda _: NOTHING,
    every: float = math.inf,
) -> PlaceHistory:
    """Walk through the journal once.

    Args:
        place: whose past.
        quantities: whose ranges are asked for.
        entries: the whole journal.
        styles: the style book.
        places: all of the dairy, by name.
        since: where the span begins [s since 1970 UTC].
        until: where it ends; what happens then is in it.
        measured: what else was measured there at a time; limits may depend on it.
        every: so often is that looked at [s]; left out, when wheels come, grow older or go.
    """
    ranges: dict[Quantity, list[tuple[float, Range]]] = {quantity: [] for quantity in quantities}

    def stretch(begin: float, end: float) -> None:
        for at in _looks(here.values(), max(begin, since), end, every):
            for quantity, known in ranges.items():
                limits = range_of(place, quantity, here.values(), at, measured(at))
                if not known or known[-1][1] != limits:
                    known.append((at, limits))

    here: dict[int, Wheel] = {}
    about = []
    begun = -math.inf
    for entry, wheels in unfolding(entries, styles, places):
        if entry.at > until:
            break
        touched = {n: wheels[n] for n in journal.wheels_of(entry.act) if n in wheels}
        after = {n: wheel for n, wheel in touched.items() if _is_at(wheel, place)}
        before = {n: here[n] for n in touched if n in here}
        if entry.at >= since and (before or after or _names(entry.act, place.name)):
            about.append(entry)
        if _wanting(before) != _wanting(after):
            stretch(begun, entry.at)
            begun = entry.at
        for number in touched:
            here.pop(number, None)
        here |= after
    stretch(begun, until)
    return PlaceHistory(ranges, tuple(about))


def _looks(here: Iterable[Wheel], since: float, until: float, every: float) -> Iterator[float]:
    """When one of these wheels came into another stage, the beginning, and between so often."""
    wheels, at = list(here), since
    while at < until:
        yield at
        ends = (stage.until for wheel in wheels if (stage := staged(wheel, at)) is not None)
        later = [end for end in ends if end is not None and end > at]
        at = min((*later, until if math.isinf(every) else (at // every + 1) * every))


def _wanting(wheels: Mapping[int, Wheel]) -> object:
    """All that a range depends on; turning and washing change none of it."""
    return {n: (w.standing, w.salted_out_at, w.stays) for n, w in wheels.items()}


def _is_at(wheel: Wheel, place: Place) -> bool:
    return wheel.place == place.name and wheel.standing is not Standing.ENDED


def _names(act: journal.Act, place: str) -> bool:
    """Whether an act names the place, or a channel or alarm of it."""
    if getattr(act, "place", None) == place:
        return True
    about = getattr(act, "channel", getattr(act, "alarm", ""))
    return bool(about.startswith(f"{place}."))
