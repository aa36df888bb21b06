"""A week's report: what every place was like, what was wrong, and what was done."""

import math
from collections.abc import Mapping, Sequence
from datetime import timedelta

from cavewatch import clock
from cavewatch.cli.exporting import parts
from cavewatch.cli.exporting.facts import Facts
from cavewatch.cli.measured import HOUR, MINUTE, SILENT
from cavewatch.core.alarms.exposure import exposure
from cavewatch.core.journal import Entry, SensorChecked, standing
from cavewatch.core.place_history import Ranges, place_history
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.record import Gap, lines
from cavewatch.core.record.occurrences import Occurrence
from cavewatch.reports import Facts as Head
from cavewatch.reports import Page, Part, Section, Text
from cavewatch.store import Bin
from cavewatch.store.spans import unsure

DAYS = 7
SHOWN = "the line is the mean, grey from lowest to highest, dashed the range"
"""What a chart shows."""


def week(facts: Facts, begins: float) -> Page:
    """The week that begins with the day of a time [s since 1970 UTC], by the clock on the wall;
    one that is not over goes as far as the record does.
    """
    first = clock.local(begins, facts.zone).date()
    since = clock.instant(first.isoformat(), begins, facts.zone)
    after = clock.instant((first + timedelta(days=DAYS)).isoformat(), begins, facts.zone)
    until = max(since, min(after, facts.newest))
    measured = facts.measured
    hours = {
        channel: [
            found for found in measured.bins(channel, HOUR, since, until) if found.at >= since
        ]
        for channel in facts.channels
    }
    told = facts.live.config.channels if until > since else {}
    hours = {channel: found for channel, found in hours.items() if found or channel in told}
    gaps = {channel: list(measured.gaps(channel, since, until)) for channel in hours}
    limits = ranges(facts, facts.entries, hours, since, until)
    config = facts.live.config
    sections = (
        *_places(facts, hours, gaps, limits, since, until),
        _exposures(facts, limits, hours, since, until),
        parts.gap_section(
            row for channel in gaps for row in parts.gap_rows(channel, gaps[channel], facts.say)
        ),
        parts.alarms(_within(facts.alarms(), since, until), facts.say),
        parts.entries(
            (
                line
                for line in lines(facts.entries)
                if since <= line.entry.at < until or since <= line.entry.written < until
            ),
            facts.say,
        ),
        parts.checks(_checks(facts.entries, since, until), facts.say),
        *parts.closing(config),
    )
    last = clock.local(until - 1.0, facts.zone).date() if until > since else first
    title = f"{config.name}: week of {first:%-d %B %Y}"
    head = [
        ("dairy", config.name),
        ("from", facts.say.when(since)),
        ("to", facts.say.when(until) + ("" if until == after else " (as far as the record goes)")),
        ("days", f"{first.isoformat()} to {last.isoformat()}"),
    ]
    if count := unsure(facts.live.store, since, until):
        head.append(("times in doubt", f"{count} readings from before the clock was set"))
    return Page(title, Head(tuple(head)), sections)


def _places(
    facts: Facts,
    hours: Mapping[Channel, Sequence[Bin]],
    gaps: Mapping[Channel, Sequence[Gap]],
    limits: Mapping[Channel, Ranges],
    since: float,
    until: float,
) -> list[Section]:
    """A section for each place: charts, then the hours as a table."""
    # Hours are of UTC; where the day begins within one, that one is left to the day before.
    first = -(-since // HOUR) * HOUR
    starts = [first + HOUR * n for n in range(math.ceil((until - first) / HOUR))]
    sections = []
    for place in dict.fromkeys(channel.place for channel in hours):
        here = {channel: found for channel, found in hours.items() if channel.place == place}
        found: list[Part] = [
            facts.drawing.chart(
                f"{channel.quantity} of {place} by the hour: {SHOWN}",
                channel.quantity,
                each,
                since,
                until,
                limits.get(channel, ()),
                gaps[channel],
            )
            for channel, each in here.items()
        ]
        found.append(Text(parts.CORRECTED))
        found.append(facts.drawing.table(f"{place} by the hour", here, starts, "%a %-d %b %H:%M"))
        sections.append(Section(place, tuple(found)))
    return sections or [Section("Readings", ())]


def _exposures(
    facts: Facts,
    limits: Mapping[Channel, Ranges],
    hours: Mapping[Channel, Sequence[Bin]],
    since: float,
    until: float,
) -> Section:
    silent = facts.live.config.channels
    return parts.in_range(
        (
            exposure(
                channel,
                [(b.at, b.mean) for b in facts.measured.bins(channel, MINUTE, since, until)],
                limits.get(channel, ()),
                since,
                until,
                max(silent.get(channel, SILENT), float(MINUTE)),
            )
            for channel in hours
        ),
        facts.say,
    )


def ranges(
    facts: Facts,
    entries: Sequence[Entry],
    hours: Mapping[Channel, Sequence[Bin]],
    since: float,
    until: float,
) -> dict[Channel, Ranges]:
    """Which range each channel had when, of places that the config knows.

    Args:
        facts: the dairy.
        entries: of the journal, those about the wheels whose ranges count.
        hours: what was measured by the hour, which limits may depend on.
        since: where the span begins [s since 1970 UTC].
        until: where it ends [s since 1970 UTC].
    """
    found: dict[Channel, Ranges] = {}
    for name in dict.fromkeys(channel.place for channel in hours):
        if name not in facts.places:
            continue
        here = {channel.quantity: each for channel, each in hours.items() if channel.place == name}
        known = {(quantity, b.at): b.mean for quantity, each in here.items() for b in each}

        def measured(
            at: float, known: Mapping[tuple[Quantity, float], float] = known
        ) -> Mapping[Quantity, float]:
            hour = at // HOUR * HOUR
            return {each: known[each, hour] for each in Quantity if (each, hour) in known}

        history = place_history(
            facts.places[name],
            here,
            entries,
            facts.live.config.styles,
            facts.places,
            since,
            until,
            measured,
            HOUR,
        )
        found |= {Channel(name, quantity): each for quantity, each in history.ranges.items()}
    return found


def _within(found: Sequence[Occurrence], since: float, until: float) -> list[Occurrence]:
    return [
        each for each in found if each.since < until and (each.until is None or each.until > since)
    ]


def _checks(entries: Sequence[Entry], since: float, until: float) -> list[Entry]:
    """The checks of the week, and of each sensor the newest before against each thing."""
    before: dict[tuple[str, str], Entry] = {}
    kept = []
    for entry in standing(entries):
        if isinstance(entry.act, SensorChecked) and entry.at < until:
            if entry.at >= since:
                kept.append(entry)
            else:
                before[entry.act.channel, entry.act.against] = entry
    return sorted((*before.values(), *kept), key=lambda entry: (entry.at, entry.id))
