"""A wheel's report: its make sheet as a page, with the curves of the places that it stood in."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from cavewatch import clock
from cavewatch.cli.exporting import parts
from cavewatch.cli.exporting.charts import days, midnights
from cavewatch.cli.exporting.facts import Facts
from cavewatch.cli.exporting.week import SHOWN, ranges
from cavewatch.cli.making.facts import sheet_of
from cavewatch.cli.measured import HOUR, together
from cavewatch.core import journal
from cavewatch.core.journal import Entry
from cavewatch.core.place_history import Ranges
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.record import Gap, MakeSheet, Stood, Weight, concerns
from cavewatch.core.record.cautions import AUTHORITY
from cavewatch.core.record.cells import number as figure
from cavewatch.core.wheel import Wheel
from cavewatch.reports import Chart, Page, Part, Point, Row, Section, Table, Text
from cavewatch.reports import Facts as Head
from cavewatch.screens.making.words import raw_words, weight_words
from cavewatch.store import Bin


@dataclass(frozen=True, slots=True)
class _Place:
    """What was measured of a quantity where the wheel stood, one place after another."""

    quantity: Quantity
    bins: tuple[Bin, ...]
    limits: Ranges
    gaps: tuple[tuple[Channel, Gap], ...]


def wheel(facts: Facts, number: int, at: float | None = None) -> Page:
    """The report of one wheel, as of a time [s since 1970 UTC], or of the newest fact.

    Raises:
        RecordError: for a wheel that is on no record.
    """
    at = facts.newest if at is None else at
    config = facts.live.config
    sheet = sheet_of(
        facts.live.store,
        number,
        facts.entries,
        config.styles,
        facts.places,
        config.channels,
        facts.display.told,
        at,
    )
    mine = next(each for each in sheet.wheels if each.id == number)
    stood = [stay for stay in sheet.stood if number in stay.wheels]
    gone = sheet.ended.get(number)
    say = facts.say
    told = [line for line in sheet.lines if _about(line.entry, number)]
    own = [line.entry for line in told if line.struck_by is None]
    places = [_measured(facts, quantity, stood, own) for quantity in Quantity]
    sections = (
        _milk(facts, sheet),
        _salting(facts, mine),
        _brine(facts, sheet, number),
        _stood(facts, stood),
        _curves(facts, stood, places),
        _raw(facts, sheet, number, at),
        _weights(facts, sheet, number),
        parts.gap_section(
            row
            for each in places
            for channel, gap in each.gaps
            for row in parts.gap_rows(channel, (gap,), say)
        ),
        parts.alarms((each for each in sheet.alarms if concerns(each, stood, {number})), say),
        parts.entries(told, say),
        parts.checks(sheet.checks, say),
        *parts.closing(config, *((AUTHORITY,) if sheet.raw else ())),
    )
    lot = f", lot {mine.lot}" if mine.lot else ""
    head = (
        ("dairy", config.name),
        ("style", mine.style.name),
        ("lot", mine.lot or "none"),
        ("make", f"entry {sheet.made.id}, by {sheet.made.by or 'no initials'}"),
        ("made", say.when(mine.made_at)),
        ("weight to salt", facts.display.mass(mine.weight)),
        ("size", facts.display.shape(mine.shape)),
        ("now", f"{mine.standing}, {mine.place}" if gone is None else _gone(facts, gone)),
        ("as of", say.when(at)),
    )
    return Page(f"{config.name}: wheel {number}, {mine.style.name}{lot}", Head(head), sections)


def _gone(facts: Facts, gone: Entry) -> str:
    """How a wheel left."""
    return f"{parts.say_act(gone.act, facts.say)}, {facts.say.when(gone.at)}"


def _about(entry: Entry, number: int) -> bool:
    """Whether an entry of the make is about this wheel, or about all."""
    wheels = journal.wheels_of(entry.act)
    return not wheels or number in wheels


def _milk(facts: Facts, sheet: MakeSheet) -> Section:
    rows = [
        Row((facts.say.when(e.at), parts.say_act(e.act, facts.say), e.by or "no initials"))
        for e in sorted((*sheet.milk, *sheet.acidity), key=lambda each: (each.at, each.id))
    ]
    table = Table(("when", "what", "by"), tuple(rows))
    return Section("Milk, cultures and pH", (table,) if rows else ())


def _salting(facts: Facts, mine: Wheel) -> Section:
    style, display = mine.style, facts.display
    aim = (
        f"Plan: {mine.method}, aim {display.salt(style.salt.value)} salt "
        f"({display.salt(style.salt.low)} to {display.salt(style.salt.high)})."
    )
    rows = tuple(
        Row(
            (
                facts.say.when(event.at),
                event.event.value,
                event.place,
                display.mass(event.grams) if event.grams else "",
            )
        )
        for event in mine.history
    )
    done = Table(("when", "event", "place", "dry salt"), rows)
    before = Text("Salted before the first entry, or in the curd.")
    return Section("Salting", (Text(aim), done if rows else before))


def _brine(facts: Facts, sheet: MakeSheet, number: int) -> Section:
    say, strength = facts.say, facts.display.strength
    rows = []
    for use in sheet.brines:
        if number not in use.stood.wheels:
            continue
        words = (
            f"reckoned from what was measured: {strength(use.going_in.expected)} going in, "
            f"{strength(use.coming_out.expected)} coming out"
        )
        rows.append(Row((say.when(use.stood.since), use.stood.place, words, "")))
        rows += [
            Row((say.when(e.at), use.stood.place, parts.say_act(e.act, say), e.by))
            for e in use.tests
        ]
    table = Table(("when", "tub", "what", "by"), tuple(rows))
    return Section("Brine", (table,) if rows else ())


def _stood(facts: Facts, stood: Sequence[Stood]) -> Section:
    rows = tuple(
        Row(
            (
                stay.place,
                facts.say.when(stay.since),
                facts.say.when(stay.until),
                clock.duration(stay.until - stay.since),
            )
        )
        for stay in stood
    )
    return Section("Where it stood", (Table(("place", "from", "to", "for"), rows),) if rows else ())


def _measured(
    facts: Facts, quantity: Quantity, stood: Sequence[Stood], own: Sequence[Entry]
) -> _Place:
    """What was measured where the wheel stood, held against what it asks for by its entries."""
    measured = facts.measured
    bins: list[Bin] = []
    steps: list[Ranges] = []
    gaps: list[tuple[Channel, Gap]] = []
    for stay in stood:
        channel = Channel(stay.place, quantity)
        if channel not in facts.channels:
            continue
        here = {
            each: list(measured.bins(each, HOUR, stay.since, stay.until))
            for each in (Channel(stay.place, q) for q in Quantity)
        }
        # The hour in which it came belongs to two places; it is told of the first.
        bins += [b for b in here[channel] if not bins or b.at > bins[-1].at]
        gaps += [(channel, gap) for gap in measured.gaps(channel, stay.since, stay.until)]
        steps.append(ranges(facts, own, here, stay.since, stay.until).get(channel, ()))
    return _Place(quantity, tuple(bins), tuple(s for part in steps for s in part), tuple(gaps))


def _curves(facts: Facts, stood: Sequence[Stood], places: Sequence[_Place]) -> Section:
    if not stood or not any(each.bins for each in places):
        return Section("Temperature and humidity where it stood", ())
    since, until = stood[0].since, stood[-1].until
    drawing = facts.drawing
    found: list[Part] = [
        drawing.chart(
            f"{each.quantity} where it stood: {SHOWN}",
            each.quantity,
            each.bins,
            since,
            until,
            each.limits,
            (gap for _, gap in each.gaps),
        )
        for each in places
        if each.bins
    ]
    found.append(Text(parts.CORRECTED))
    starts = midnights(since, until, facts.zone)
    daily = {
        Channel("where it stood", each.quantity): together(each.bins, starts)
        for each in places
        if each.bins
    }
    found.append(drawing.table("Where it stood, by the day", daily, starts, "%a %-d %b %Y"))
    return Section("Temperature and humidity where it stood", tuple(found))


def _raw(facts: Facts, sheet: MakeSheet, number: int, at: float) -> Section:
    found: list[Part] = []
    for raw in sheet.raw:
        if number in raw.wheels:
            found += [Text(raw_words(raw, at, facts.zone)), Text(raw.rule.source)]
    if sheet.treatment is None:
        found.append(Text("The milk is not on record, so no days are counted."))
    elif not found:
        found.append(Text(f"{sheet.treatment} milk: no days are counted."))
    return Section("Days that raw milk asks for", tuple(found))


def _weights(facts: Facts, sheet: MakeSheet, number: int) -> Section:
    curve = next(each for each in sheet.weights if each.wheel == number)
    rows = tuple(
        Row(
            (
                facts.say.when(each.at),
                f"{facts.display.mass(each.grams)} ({figure(each.grams)} g)",
                f"entry {each.entry}",
            )
        )
        for each in (curve.to_salt, *curve.weights)
    )
    first, *later = (curve.to_salt, *curve.weights)
    drawn = [_weight_chart(facts, first, later)] if later else []
    said = [Text(line.strip()) for line in list(weight_words(curve, facts.say))[1:]]
    sources = [Text(f"usual loss: {source}") for source in curve.sources]
    table = Table(("when", "weight", "told by"), rows)
    return Section("Weights", (*drawn, table, *said, *sources))


def _weight_chart(facts: Facts, first: Weight, later: Sequence[Weight]) -> Chart:
    """What was left of a wheel's weight as time went on."""
    since, until = first.at, max(later[-1].at, first.at + HOUR)
    parts_left = [(each.at, 100.0 * each.grams / first.grams) for each in (first, *later)]
    return Chart(
        title="weight against that to salt",
        unit="%",
        points=tuple(Point(at, left, left, left) for at, left in parts_left),
        since=since,
        until=until,
        apart=math.inf,
        days=days(since, until, facts.zone),
    )
