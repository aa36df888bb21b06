"""Alarms as a table: each time that one was abnormal, who saw it and what was done about it."""

from collections.abc import Callable, Iterable, Iterator

from cavewatch.cli.exporting.files import Row
from cavewatch.core.journal import Corrected, Entry
from cavewatch.core.record import Occurrence

COLUMNS = (
    "alarm",
    "place",
    "priority",
    "from",
    "to",
    "what",
    "acknowledged",
    "acknowledged_by",
    "action_entry",
    "action_at",
    "action_written",
    "action_by",
    "product",
    "cause",
    "dairy",
)
"""`to` is empty while the cause is there; an alarm with several corrective actions has a row for
each."""


def rows(found: Iterable[Occurrence], iso: Callable[[float], str], dairy: str) -> Iterator[Row]:
    """The rows by the beginning of what was wrong."""
    for each in found:
        seen = each.acknowledged
        for action in each.actions or (None,):
            yield (
                each.alarm.key,
                each.alarm.place or None,
                each.alarm.priority.value,
                iso(each.since),
                None if each.until is None else iso(each.until),
                each.alarm.explanation.what,
                None if seen is None else iso(seen.at),
                None if seen is None else seen.by,
                *_action(action, iso),
                dairy,
            )


def _action(action: Entry | None, iso: Callable[[float], str]) -> Row:
    if action is None or not isinstance(action.act, Corrected):
        return (None,) * 6
    return (
        action.id,
        iso(action.at),
        iso(action.written),
        action.by,
        action.act.product,
        action.act.cause or None,
    )
