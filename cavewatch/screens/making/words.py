"""A make sheet in words, for a terminal or paper of 80 columns and more."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.countdown import Span
from cavewatch.core.journal import Acidity, Corrected, Ended, Entry, Milk, Voided
from cavewatch.core.record import (
    BrineUse,
    Counted,
    Line,
    MakeSheet,
    Missing,
    Occurrence,
    RawMilk,
    Stood,
    WeightCurve,
)
from cavewatch.core.record.cautions import AUTHORITY, LISTERIA
from cavewatch.core.style import Limits, Method, Style
from cavewatch.core.urgent import wheel_words
from cavewatch.core.wheel import Wheel
from cavewatch.screens.wording import act_words, action_words, milk_words
from cavewatch.units import Display

MANY = 20
"""More gaps than these are only counted, the longest shown."""


@dataclass(frozen=True, slots=True)
class Sayer:
    """How things are said: in whose time and units."""

    zone: ZoneInfo
    display: Display

    def when(self, at: float) -> str:
        """A time of the record: '2026-03-02 07:10'."""
        return f"{clock.local(at, self.zone):%Y-%m-%d %H:%M}"

    def signed(self, entry: Entry) -> str:
        """Who wrote an entry, and when if that was not at once."""
        late = abs(entry.written - entry.at) >= 60.0
        return f"({entry.by}{', written ' + self.when(entry.written) if late else ''})"


def sheet_lines(sheet: MakeSheet, say: Sayer) -> Iterator[str]:
    """The sheet, line by line; sections part with an empty line."""
    style, batch = sheet.wheels[0].style, sheet.batch
    lot = f", lot {batch.lot}" if batch.lot else ""
    yield f"MAKE SHEET: {style.name}{lot}, {wheel_words(batch.wheels)}"
    yield f"drawn up {say.when(sheet.at)}; times of {say.zone.key}"
    sections = (
        ("Milk", _milk(sheet, say)),
        ("pH", (_acidity(entry, say) for entry in sheet.acidity)),
        ("Wheels", _wheels(sheet, say)),
        ("Salting", _salting(sheet, style, say)),
        ("Brine", _brines(sheet, say)),
        ("Where they stood", (_stood(stay, say) for stay in sheet.stood)),
        ("Raw milk", _raw(sheet, say)),
        ("Weights", _weights(sheet, say)),
        ("Entries", (line for each in sheet.lines for line in line_words(each, say))),
        ("Alarms", (line for each in sheet.alarms for line in alarm_words(each, say))),
        ("Sensor checks", (_entry(entry, say) for entry in sheet.checks)),
        ("Gaps in the readings", _gaps(sheet, say)),
    )
    for title, found in sections:
        yield ""
        yield title.upper()
        some = False
        for line in found:
            some = True
            yield f"  {line}"
        if not some:
            yield "  none on record"


def raw_words(raw: RawMilk, now: float, zone: ZoneInfo) -> str:
    """Days of a rule on raw milk: 'day 23 of 60, earliest 24 Jan', and what does not count."""
    counted, days = raw.counted, raw.rule.days
    if counted.reached_at is None:
        return f"day 0 of {days:g}: its clock has not started"
    then = clock.local(counted.reached_at, zone)
    year = f" {then.year}" if then.year != clock.local(now, zone).year else ""
    day = f"{then.day} {then:%b}{year}"
    if raw.left_at is not None and counted.days < days:
        words = f"day {int(counted.days)} of {days:g} when it left"
    elif counted.days >= days:
        words = f"{days:g} of {days:g} days on {day}"
    else:
        words = f"day {int(counted.days)} of {days:g}, earliest {day}"
    left_out = not_counted(counted)
    return words + (f"; not counted: {left_out}" if left_out else "")


def not_counted(counted: Counted) -> str:
    """What of an age does not count and why; empty where all does."""
    return ", ".join(
        f"{part:.1f} days {why}"
        for part, why in (
            (counted.cold, "too cold"),
            (counted.unknown, "without a temperature on record"),
            (counted.stored, "in a store"),
        )
        if part >= 0.05
    )


def weight_words(curve: WeightCurve, say: Sayer) -> Iterator[str]:
    """The weights of a wheel, and its loss."""
    mass = say.display.mass
    points = [f"{mass(curve.to_salt.grams)} to salt"]
    points += [f"{mass(each.grams)} {say.when(each.at)}" for each in curve.weights]
    yield f"wheel {curve.wheel}: " + ", ".join(points)
    if words := loss_words(curve, say.when):
        yield f"  {words}"


def loss_words(curve: WeightCurve, when: Callable[[float], str]) -> str:
    """What a wheel lost, against what is usual; empty where there is nothing to compare."""
    if curve.lost is None or curve.base is None:
        return ""
    since = "it went to salt" if curve.base is curve.to_salt else when(curve.base.at)
    words = f"{'lost' if curve.lost >= 0 else 'gained'} {abs(curve.lost):.1f} % since {since}"
    if curve.per_month is not None:
        words += f", {curve.per_month:.1f} % a month"
    if curve.usual is not None:
        low, _, high = _ends(curve.usual)
        words += f"; usual by then for style and size {low} to {high} %: {curve.verdict}"
    return words


def line_words(line: Line, say: Sayer) -> Iterator[str]:
    """An entry as it was written; what was struck out says by whom and why."""
    mark = "" if line.struck_by is None else "STRUCK "
    entry = line.entry
    yield (
        f"{say.when(entry.at)}  {mark}{entry.id}: {act_words(entry.act, say.display)} "
        f"{say.signed(entry)}"
    )
    if line.struck_by is not None and isinstance(line.struck_by.act, Voided):
        struck = line.struck_by
        why = f": {line.struck_by.act.why}" if line.struck_by.act.why else ""
        yield f"    struck by entry {struck.id}, {struck.by}, {say.when(struck.written)}{why}"


def alarm_words(found: Occurrence, say: Sayer) -> Iterator[str]:
    """One time that an alarm was there, who saw it and what was done."""
    until = "still there" if found.until is None else f"to {say.when(found.until)}"
    yield f"{say.when(found.since)} {until}  {found.alarm.key}: {found.alarm.explanation.what}"
    seen = found.acknowledged
    yield "    " + (
        "not acknowledged" if seen is None else f"acknowledged {say.when(seen.at)} ({seen.by})"
    )
    for action in found.actions:
        assert isinstance(action.act, Corrected)
        yield f"    {say.when(action.at)}  {action_words(action.act)} {say.signed(action)}"
    if not found.actions:
        yield "    no corrective action on record"


def _milk(sheet: MakeSheet, say: Sayer) -> Iterator[str]:
    for entry in sheet.milk:
        act = entry.act
        assert isinstance(act, Milk)
        yield f"{say.when(entry.at)}  {milk_words(act, say.display)} {say.signed(entry)}"
        for name, text in (("cultures", act.cultures), ("rennet", act.rennet)):
            if text:
                yield f"    {name}: {text}"


def _acidity(entry: Entry, say: Sayer) -> str:
    assert isinstance(entry.act, Acidity)
    return f"{say.when(entry.at)}  {entry.act.ph:.2f}  {entry.act.where} {say.signed(entry)}"


def _wheels(sheet: MakeSheet, say: Sayer) -> Iterator[str]:
    batch, first = sheet.batch, sheet.wheels[0]
    yield f"made {say.when(first.made_at)}" + "".join(
        f", {what} {say.when(at)}"
        for what, at in (("renneted", batch.renneted_at), ("moulded", batch.moulded_at))
        if at is not None
    )
    measured = "measured" if batch.shape is not None else "usual for the style"
    yield (
        f"{len(batch.wheels)} of {say.display.mass(batch.weight)}, "
        f"{say.display.shape(first.shape)} ({measured}) {say.signed(sheet.made)}"
    )
    for number, entry in sorted(sheet.ended.items()):
        assert isinstance(entry.act, Ended)
        why = f": {entry.act.why}" if entry.act.why else ""
        yield f"wheel {number} {entry.act.how} {say.when(entry.at)}{why} {say.signed(entry)}"


def _salting(sheet: MakeSheet, style: Style, say: Sayer) -> Iterator[str]:
    method = sheet.batch.method
    low, aim, high = _ends(Span(style.salt.low, style.salt.value, style.salt.high))
    plan = f"plan: {method}, aim {aim} % salt ({low} to {high} %)"
    if method is Method.BRINE and style.brine is not None:
        low, value, high = _ends(
            Span(style.brine.strength.low, style.brine.strength.value, style.brine.strength.high)
        )
        plan += f", brine of {value} % ({low} to {high} %)" + _between(
            style.brine.temperature, say.display
        )
    elif method is Method.DRY and style.dry is not None:
        hours = ", ".join(f"{hour:g}" for hour in style.dry.hours)
        plan += f", {style.dry.dose.value:g} % of the weight in coats at {hours} h"
    yield plan
    done: dict[tuple[object, ...], list[Wheel]] = {}
    for wheel in sheet.wheels:
        done.setdefault(wheel.history, []).append(wheel)
    for wheels in done.values():
        who = wheel_words(wheel.id for wheel in wheels)
        if not wheels[0].history:
            yield f"{who}: salted before the first entry, or in the curd"
        for event in wheels[0].history:
            grams = f" {say.display.mass(event.grams)}" if event.grams else ""
            yield f"{say.when(event.at)}  {event.event}{grams}, {event.place}: {who}"


def _brines(sheet: MakeSheet, say: Sayer) -> Iterator[str]:
    for use in sheet.brines:
        yield _brine(use, say)
        for test in use.tests:
            yield f"  {_entry(test, say)}"
    if sheet.brines:
        yield LISTERIA


def _brine(use: BrineUse, say: Sayer) -> str:
    going_in, coming_out = (
        say.display.strength(span.expected) for span in (use.going_in, use.coming_out)
    )
    return (
        f"{_stood(use.stood, say)}; reckoned from what was measured: "
        f"{going_in} going in, {coming_out} coming out"
    )


def _stood(stay: Stood, say: Sayer) -> str:
    return (
        f"{say.when(stay.since)} to {say.when(stay.until)}  {stay.place}: "
        f"{wheel_words(stay.wheels)}"
    )


def _raw(sheet: MakeSheet, say: Sayer) -> Iterator[str]:
    if sheet.treatment is None:
        yield "the milk is not on record, so no days are counted"
    elif not sheet.raw:
        yield f"{sheet.treatment} milk: no days are counted"
    for raw in sheet.raw:
        yield f"{wheel_words(raw.wheels)}: {raw_words(raw, sheet.at, say.zone)}"
        yield f"  {raw.rule.source}"
    if sheet.raw:
        yield AUTHORITY


def _weights(sheet: MakeSheet, say: Sayer) -> Iterator[str]:
    sources: dict[str, None] = {}
    for curve in sheet.weights:
        yield from weight_words(curve, say)
        sources.update(dict.fromkeys(curve.sources))
    for source in sources:
        yield f"usual loss: {source}"


def _entry(entry: Entry, say: Sayer) -> str:
    return f"{say.when(entry.at)}  {act_words(entry.act, say.display)} {say.signed(entry)}"


def _gaps(sheet: MakeSheet, say: Sayer) -> Iterator[str]:
    longest = sorted(sheet.missing, key=lambda each: each.gap.since - each.gap.until)[:MANY]
    for each in sorted(longest, key=lambda each: (each.gap.since, each.channel)):
        yield _gap(each, say)
    if len(sheet.missing) > MANY:
        yield f"and {len(sheet.missing) - MANY} shorter ones"


def _gap(each: Missing, say: Sayer) -> str:
    gap = each.gap
    return (
        f"{say.when(gap.since)} to {say.when(gap.until)}  {each.channel}: no data for "
        f"{clock.duration(gap.until - gap.since)}"
    )


def _between(limits: Limits, display: Display) -> str:
    """A range of temperatures."""
    ends = [
        f"{word} {display.temperature(edge)}"
        for word, edge in (("from", limits.low), ("to", limits.high))
        if edge is not None
    ]
    return f", {' '.join(ends)}" if ends else ""


def _ends(span: Span) -> tuple[str, str, str]:
    """A range in per cent, to a tenth."""
    low, expected, high = (
        f"{edge:.1f}".removesuffix(".0") for edge in (span.low, span.expected, span.high)
    )
    return low, expected, high
