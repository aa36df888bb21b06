"""A make sheet as JSON types, with units in the names and ISO 8601 times with offset."""

from typing import Any
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.countdown import Span
from cavewatch.core.journal import Entry, to_plain
from cavewatch.core.record import (
    BrineUse,
    Line,
    MakeSheet,
    Occurrence,
    RawMilk,
    Stood,
    WeightCurve,
)
from cavewatch.core.record.cautions import AUTHORITY, LISTERIA
from cavewatch.core.style import Style
from cavewatch.core.wheel import Wheel

Plain = dict[str, Any]


def sheet_plain(sheet: MakeSheet, zone: ZoneInfo) -> Plain:
    """The whole sheet."""
    style = sheet.wheels[0].style
    return {
        "drawn_up": clock.iso(sheet.at, zone),
        "lot": sheet.batch.lot,
        "style": {"id": style.id, "name": style.name},
        "made_at": clock.iso(sheet.wheels[0].made_at, zone),
        "milk": [entry_plain(entry, zone) for entry in sheet.milk],
        "ph": [entry_plain(entry, zone) for entry in sheet.acidity],
        "made": entry_plain(sheet.made, zone),
        "plan": _plan(sheet, style),
        "wheels": [_wheel(wheel, sheet, zone) for wheel in sheet.wheels],
        "brines": [_brine(use, zone) for use in sheet.brines],
        "stood": [_stood(stay, zone) for stay in sheet.stood],
        "raw_milk": [_raw(raw, zone) for raw in sheet.raw],
        "weights": [_weights(curve, zone) for curve in sheet.weights],
        "entries": [line_plain(line, zone) for line in sheet.lines],
        "alarms": [occurrence_plain(found, zone) for found in sheet.alarms],
        "sensor_checks": [entry_plain(entry, zone) for entry in sheet.checks],
        "gaps": [
            {
                "channel": str(each.channel),
                "from": clock.iso(each.gap.since, zone),
                "to": clock.iso(each.gap.until, zone),
            }
            for each in sheet.missing
        ],
        "cautions": [AUTHORITY, LISTERIA] if sheet.raw else [LISTERIA],
    }


def entry_plain(entry: Entry, zone: ZoneInfo) -> Plain:
    """An entry as in a journal file."""
    return {
        "id": entry.id,
        "at": clock.iso(entry.at, zone),
        "written": clock.iso(entry.written, zone),
        "by": entry.by,
        **to_plain(entry.act),
    }


def line_plain(line: Line, zone: ZoneInfo) -> Plain:
    """An entry with the number of the one that struck it; None while it counts."""
    struck = None if line.struck_by is None else line.struck_by.id
    return {**entry_plain(line.entry, zone), "struck_by": struck}


def occurrence_plain(found: Occurrence, zone: ZoneInfo) -> Plain:
    """One time that an alarm was there."""
    seen = found.acknowledged
    return {
        "alarm": found.alarm.key,
        "priority": found.alarm.priority.value,
        "what": found.alarm.explanation.what,
        "from": clock.iso(found.since, zone),
        "to": _iso(found.until, zone),
        "acknowledged": None if seen is None else entry_plain(seen, zone),
        "actions": [entry_plain(action, zone) for action in found.actions],
    }


def _plan(sheet: MakeSheet, style: Style) -> Plain:
    return {
        "method": sheet.batch.method.value,
        "salt_aim_percent": _figures(style.salt.low, style.salt.value, style.salt.high),
        "brine_percent": None
        if style.brine is None
        else _figures(
            style.brine.strength.low, style.brine.strength.value, style.brine.strength.high
        ),
    }


def _wheel(wheel: Wheel, sheet: MakeSheet, zone: ZoneInfo) -> Plain:
    gone = sheet.ended.get(wheel.id)
    return {
        "number": wheel.id,
        "weight_to_salt_g": wheel.weight,
        "place": wheel.place,
        "standing": wheel.standing.value,
        "salting": [
            {
                "at": clock.iso(event.at, zone),
                "event": event.event.value,
                "place": event.place,
                "salt_g": event.grams,
            }
            for event in wheel.history
        ],
        "ended": None if gone is None else entry_plain(gone, zone),
    }


def _brine(use: BrineUse, zone: ZoneInfo) -> Plain:
    return {
        **_stood(use.stood, zone),
        "going_in_percent": _span(use.going_in),
        "coming_out_percent": _span(use.coming_out),
        "tests": [entry_plain(test, zone) for test in use.tests],
    }


def _stood(stay: Stood, zone: ZoneInfo) -> Plain:
    return {
        "place": stay.place,
        "from": clock.iso(stay.since, zone),
        "to": clock.iso(stay.until, zone),
        "wheels": list(stay.wheels),
    }


def _raw(raw: RawMilk, zone: ZoneInfo) -> Plain:
    counted = raw.counted
    return {
        "wheels": list(raw.wheels),
        "rule": raw.rule.rule,
        "days": raw.rule.days,
        "counted_days": round(counted.days, 3),
        "cold_days": round(counted.cold, 3),
        "unknown_days": round(counted.unknown, 3),
        "stored_days": round(counted.stored, 3),
        "reached_or_earliest": _iso(counted.reached_at, zone),
        "source": raw.rule.source,
    }


def _weights(curve: WeightCurve, zone: ZoneInfo) -> Plain:
    return {
        "wheel": curve.wheel,
        "weights": [
            {"at": clock.iso(each.at, zone), "g": each.grams, "entry": each.entry}
            for each in (curve.to_salt, *curve.weights)
        ],
        "lost_percent": curve.lost,
        "lost_since": None if curve.base is None else clock.iso(curve.base.at, zone),
        "per_month_percent": curve.per_month,
        "usual_percent": None if curve.usual is None else _span(curve.usual),
        "verdict": curve.verdict,
        "sources": list(curve.sources),
    }


def _span(span: Span) -> Plain:
    return _figures(span.low, span.expected, span.high)


def _figures(low: float, expected: float, high: float) -> Plain:
    return {"low": low, "expected": expected, "high": high}


def _iso(at: float | None, zone: ZoneInfo) -> str | None:
    return None if at is None else clock.iso(at, zone)
