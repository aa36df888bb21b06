"""The report of a replay: the figures of a log's channels and alarms, as text or JSON."""

import dataclasses
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.cli.rehearsal import Rehearsal
from cavewatch.core.alarms.exposure import Exposure
from cavewatch.core.alarms.figures import AlarmFigures, ForecastFigures
from cavewatch.core.alarms.limits import Side
from cavewatch.core.reading import Quantity
from cavewatch.units import Display

Table = dict[str, dict[str, str]]
"""Heading, label, text."""

_COLUMN = 25

WANTED = {
    "raised": "fewer than 5 a week (judgement)",
    "a day": "150 at most for one operator",
    "in the busiest 10 min": "10 at most",
    "in flood": "less than 1 % of the time",
    "chattering": "none",
    "fleeting": "none",
    "stale": "fewer than 5 on any day",
    "low, medium, high": "about 80, 15, 5 %",
}
"""What is good, after clause 16 of IEC 62682; see `cavewatch.core.alarms.figures`."""
_SOURCE = (
    "What is wanted of alarms follows clause 16 of IEC 62682 / ANSI/ISA-18.2 (read in an "
    "engineer's summary; for one operator and 30 days or more)."
)


def lines(
    runs: Mapping[str, Rehearsal], title: str, display: Display, zone: ZoneInfo
) -> Iterator[str]:
    """The report as text; several runs of one log stand side by side under their names."""
    first = next(iter(runs.values()))
    began, ended = (clock.local(at, zone) for at in (first.since, first.until))
    length = clock.duration(first.until - first.since)
    yield f"{title}: {began:%a %d %b %Y %H:%M} to {ended:%a %d %b %Y %H:%M}, {length}"
    tables = [table(run, display, zone) for run in runs.values()]
    width = 3 + max(len(label) for found in tables for part in found.values() for label in part)

    def row(label: str, texts: Sequence[str]) -> str:
        cells = "".join(f"{text:<{_COLUMN}} " for text in texts)
        return f"{label:<{width}} {cells}".rstrip()

    if len(runs) > 1:
        yield ""
        yield row("", list(runs))
    for heading in _union(tables):
        yield ""
        yield heading
        parts = [found.get(heading, {}) for found in tables]
        for label in _union(parts):
            wanted = WANTED.get(label, "") if heading == "alarms" else ""
            texts = [part.get(label, "-") for part in parts]
            yield row(f"  {label}", [*texts, wanted and f"({wanted})"])
    yield ""
    yield _SOURCE


def table(run: Rehearsal, display: Display, zone: ZoneInfo) -> Table:
    """One run's figures in words."""
    found = {str(e.channel): dict(_channel(e, display, zone)) for e in run.exposures}
    found["alarms"] = dict(_alarms(run.alarms))
    found["raised"] = {key: f"{times} ×" for key, times in run.alarms.raised} or {"none": ""}
    found["predicted crossings"] = dict(_forecasts(run.forecasts))
    return found


def plain(run: Rehearsal, display: Display, zone: ZoneInfo) -> dict[str, Any]:
    """One run as JSON types: degC, %, s, and ISO 8601 times; only sentences are in the units."""
    alarms = run.alarms
    return {
        "since": clock.iso(run.since, zone),
        "until": clock.iso(run.until, zone),
        "channels": [_plain_channel(found, zone) for found in run.exposures],
        "alarms": {
            **dataclasses.asdict(alarms),
            "raised": dict(alarms.raised),
            "priorities": dict(alarms.priorities),
            "total": alarms.total,
            "per_day": alarms.per_day,
        },
        "forecasts": dataclasses.asdict(run.forecasts),
        "transitions": [
            {
                "at": clock.iso(t.at, zone),
                "alarm": t.alarm.key,
                "before": t.before,
                "trigger": t.trigger,
                "after": t.alarm.state,
                "priority": t.alarm.priority,
                "what": display.told(t.alarm.explanation.what),
            }
            for t in run.transitions
        ],
    }


def _plain_channel(found: Exposure, zone: ZoneInfo) -> dict[str, Any]:
    longest = found.longest
    return dataclasses.asdict(found) | {
        "channel": str(found.channel),
        "longest": None
        if longest is None
        else dataclasses.asdict(longest) | {"since": clock.iso(longest.since, zone)},
    }


def _channel(found: Exposure, display: Display, zone: ZoneInfo) -> Iterator[tuple[str, str]]:
    if found.low is None or found.mean is None or found.high is None:
        yield "measured", "nothing"
        return
    show: Callable[[float], str] = (
        display.temperature if found.channel.quantity is Quantity.TEMPERATURE else display.humidity
    )
    yield "lowest", show(found.low)
    yield "mean", show(found.mean)
    yield "highest", show(found.high)
    if found.ranged:
        yield "in range", f"{100 * found.inside / found.watched:.1f} %"
        yield "above", clock.duration(found.above)
        yield "below", clock.duration(found.below)
    else:
        yield "in range", "nobody sets a range"
    if found.unwatched:
        yield "not watched", clock.duration(found.unwatched)
    longest = found.longest
    if longest is not None:
        way = "above" if longest.side is Side.HIGH else "below"
        yield "longest excursion", f"{clock.duration(longest.seconds)} {way}"
        yield "  from", f"{clock.local(longest.since, zone):%a %d %b %H:%M}"
        yield "  as far as", show(longest.worst)


def _alarms(found: AlarmFigures) -> Iterator[tuple[str, str]]:
    yield "raised", f"{found.total}"
    yield "a day", f"{found.per_day:.1f}"
    yield "in the busiest 10 min", f"{found.busiest}"
    yield "in flood", clock.duration(found.flooded)
    yield "low, medium, high", ", ".join(f"{times}" for _, times in found.priorities)
    yield "chattering", _listed(found.chattering)
    yield "fleeting", _listed(found.fleeting)
    yield "stale", _listed(found.stale)
    yield "standing at the end", _listed(found.standing)


def _forecasts(found: ForecastFigures) -> Iterator[tuple[str, str]]:
    yield "came true", f"{found.hits}"
    yield "false calls", f"{found.false_calls}"
    yield "alarms not foretold", f"{found.missed}"
    if found.lead:
        lead = sorted(found.lead)
        yield "ahead by (median)", clock.duration(lead[len(lead) // 2])


def _listed(keys: Sequence[str]) -> str:
    return ", ".join(keys) or "none"


def _union(parts: Sequence[Mapping[str, Any]]) -> list[str]:
    return list(dict.fromkeys(key for part in parts for key in part))
