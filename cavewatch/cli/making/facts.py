"""What a store has on record of a make: the facts that its sheet is drawn up from."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from cavewatch.cli.measured import HOUR, Measured
from cavewatch.core.journal import Ended, Entry, standing
from cavewatch.core.place import Place
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.record import (
    Air,
    MakeSheet,
    Missing,
    RawMilk,
    Stood,
    make_sheet,
    milk_of,
    occurrences,
    raw_days,
    raw_milk,
    treatment,
    whereabouts,
)
from cavewatch.core.signal.record import records
from cavewatch.core.style import StyleBook
from cavewatch.core.wheel import Wheel
from cavewatch.store import Store


def sheet_of(
    store: Store,
    number: int,
    entries: Sequence[Entry],
    styles: StyleBook,
    places: Mapping[str, Place],
    channels: Mapping[Channel, float],
    told: Callable[[str], str],
    at: float,
) -> MakeSheet:
    """The sheet of the make that a wheel is of, as of a time.

    Args:
        store: with the readings and what the alarms did.
        number: of the wheel.
        entries: the whole journal.
        styles: the style book.
        places: by name.
        channels: the age at which each counts as silent [s].
        told: puts the texts of alarms into somebody's units.
        at: that time [s since 1970 UTC].

    Raises:
        RecordError: for a wheel that is on no record.
    """
    bare = make_sheet(number, entries, styles, places, at)
    spans = _spans(bare.stood)
    measured = Measured(store, records(entries), channels)
    return make_sheet(
        number,
        entries,
        styles,
        places,
        at,
        _airs(measured, spans),
        occurrences((t.worded(told) for t in store.transitions(0.0)), entries),
        _missing(measured, spans),
    )


def raw_of(store: Store, wheel: Wheel, entries: Sequence[Entry], at: float) -> RawMilk | None:
    """The days that raw milk asks for of one wheel; None where its milk asks for none.

    Args:
        store: with the readings.
        wheel: it.
        entries: the journal, or of it all about the wheel and about sensors.
        at: until when is counted [s since 1970 UTC].
    """
    done = treatment(milk_of(wheel, entries))
    if raw_milk(done, wheel) is None:
        return None
    left = {
        number: entry.at
        for entry in standing(entries)
        if isinstance(entry.act, Ended)
        for number in entry.act.wheels
    }
    (found,) = raw_days(done, (wheel,), left, at, tuple(airs(store, wheel, entries, at)))
    return found


def airs(store: Store, wheel: Wheel, entries: Sequence[Entry], at: float) -> Iterator[Air]:
    """The recorded hours of the places where a wheel stood until a time [s since 1970 UTC]."""
    measured = Measured(store, records(entries), {})
    return _airs(measured, _spans(whereabouts((wheel,), entries, at)))


def _airs(measured: Measured, spans: Mapping[str, tuple[float, float]]) -> Iterator[Air]:
    for place, (since, until) in spans.items():
        for hour in measured.bins(Channel(place, Quantity.TEMPERATURE), HOUR, since, until):
            yield Air(place, hour.at, hour.at + HOUR, hour.low)


def _spans(stood: Iterable[Stood]) -> dict[str, tuple[float, float]]:
    """From the first coming to the last going, by place [s since 1970 UTC]."""
    spans: dict[str, tuple[float, float]] = {}
    for stay in stood:
        since, until = spans.get(stay.place, (stay.since, stay.until))
        spans[stay.place] = min(since, stay.since), max(until, stay.until)
    return spans


def _missing(measured: Measured, spans: Mapping[str, tuple[float, float]]) -> Iterator[Missing]:
    """The stretches in which channels of these places were silent."""
    for channel in measured.silent:
        if channel.place in spans:
            for gap in measured.gaps(channel, *spans[channel.place]):
                yield Missing(channel, gap)
