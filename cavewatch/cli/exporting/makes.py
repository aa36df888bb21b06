"""Makes as a table: a row for each wheel, with its milk, its salting and what became of it."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence

from cavewatch.cli.exporting.files import Row
from cavewatch.cli.making.facts import raw_of
from cavewatch.core import journal
from cavewatch.core.journal import Acidity, Ended, Entry, Milk, SensorChecked, Voided
from cavewatch.core.place import Place
from cavewatch.core.record import milk_of, treatment, weights
from cavewatch.core.style import StyleBook
from cavewatch.core.wheel import Wheel, fold
from cavewatch.store import Store

COLUMNS = (
    *("make", "lot", "style", "method", "made_at", "renneted_at"),
    *("milk", "milk_source", "milk_L", "heat", "cultures", "rennet", "ph"),
    *("wheel", "weight_to_salt_g", "salting_began", "salting_ended"),
    *("weight_g", "weighed_at", "lost_percent", "place", "standing", "ended_at", "ended_how"),
    *("raw_milk_days_asked", "raw_milk_days_counted", "raw_milk_days_too_cold"),
    *("raw_milk_days_unknown", "dairy"),
)
"""`make` is the number of the entry that began it; a count of days is no permission to sell."""


def rows(
    store: Store,
    entries: Sequence[Entry],
    styles: StyleBook,
    places: Mapping[str, Place],
    at: float,
    wanted: Callable[[Wheel], bool],
    iso: Callable[[float], str],
    dairy: str,
    progress: Callable[[float], None] = lambda _: None,
) -> Iterator[Row]:
    """The rows by make and wheel, as of a time.

    Args:
        store: with the temperatures that days at warmth are counted from.
        entries: the whole journal.
        styles: the style book.
        places: by name.
        at: that time [s since 1970 UTC].
        wanted: which wheels.
        iso: writes a time.
        dairy: its name, which is in every row.
        progress: is told the part that is done [0 to 1].
    """
    entries = [entry for entry in entries if entry.at <= at]
    every, _ = fold(entries, styles, places)
    makes: dict[int, list[Wheel]] = defaultdict(list)
    for _, wheel in sorted(every.items()):
        makes[wheel.make].append(wheel)
    about = _about(entries, every)
    common = [entry for entry in entries if isinstance(entry.act, SensorChecked | Voided)]
    for done, (make, wheels) in enumerate(sorted(makes.items()), start=1):
        chosen = [wheel for wheel in wheels if wanted(wheel)]
        if chosen:
            own = sorted(
                {entry.id: entry for entry in (*common, *about[make])}.values(),
                key=lambda entry: entry.id,
            )
            for wheel in chosen:
                yield (*_batch(wheel, own, iso), *_wheel(store, wheel, own, at, iso), dairy)
        progress(done / len(makes))


def _about(entries: Sequence[Entry], every: Mapping[int, Wheel]) -> dict[int, list[Entry]]:
    """The entries about each make, by its number."""
    lots: dict[str, set[int]] = defaultdict(set)
    for wheel in every.values():
        if wheel.lot:
            lots[wheel.lot.casefold()].add(wheel.make)
    about: dict[int, list[Entry]] = defaultdict(list)
    for entry in entries:
        makes = {every[n].make for n in journal.wheels_of(entry.act) if n in every}
        if isinstance(entry.act, Milk | Acidity) and not makes:
            makes = lots.get(entry.act.lot.casefold(), set())
        for make in makes:
            about[make].append(entry)
    return about


def _batch(wheel: Wheel, own: Sequence[Entry], iso: Callable[[float], str]) -> Row:
    milk = milk_of(wheel, own)
    acts = [entry.act for entry in milk if isinstance(entry.act, Milk)]
    done = treatment(milk)
    measured = "; ".join(
        f"{entry.act.ph:g} {entry.act.where} {iso(entry.at)}"
        for entry in journal.standing(own)
        if isinstance(entry.act, Acidity)
    )

    def joined(texts: Iterator[str]) -> str | None:
        return "; ".join(dict.fromkeys(filter(None, texts))) or None

    litres = [act.litres for act in acts if act.litres is not None]
    return (
        wheel.make,
        wheel.lot or None,
        wheel.style.id,
        wheel.method.value,
        iso(wheel.made_at),
        None if wheel.renneted_at is None else iso(wheel.renneted_at),
        None if done is None else done.value,
        joined(act.source for act in acts),
        sum(litres) if litres else None,
        joined(act.heat for act in acts),
        joined(act.cultures for act in acts),
        joined(act.rennet for act in acts),
        measured or None,
    )


def _wheel(
    store: Store, wheel: Wheel, own: Sequence[Entry], at: float, iso: Callable[[float], str]
) -> Row:
    curve = weights(wheel, own)
    last = curve.weights[-1] if curve.weights else None
    gone = next(
        (
            entry
            for entry in journal.standing(own)
            if isinstance(entry.act, Ended) and wheel.id in entry.act.wheels
        ),
        None,
    )
    return (
        wheel.id,
        wheel.weight,
        iso(wheel.history[0].at) if wheel.history else None,
        None if wheel.salted_out_at is None else iso(wheel.salted_out_at),
        None if last is None else last.grams,
        None if last is None else iso(last.at),
        None if curve.lost is None else round(curve.lost, 2),
        wheel.place,
        wheel.standing.value,
        None if gone is None else iso(gone.at),
        gone.act.how.value if gone is not None and isinstance(gone.act, Ended) else None,
        *_days(store, wheel, own, at),
    )


def _days(store: Store, wheel: Wheel, own: Sequence[Entry], at: float) -> Row:
    """The days that raw milk asks for, and those that count, are too cold or not on record."""
    raw = raw_of(store, wheel, own, at)
    if raw is None:
        return (None,) * 4
    days = (raw.rule.days, raw.counted.days, raw.counted.cold, raw.counted.unknown)
    return tuple(round(each, 3) for each in days)
