"""What is due, gathered over wheels, tubs and sensors, and as a list by day."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import groupby
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.dairy import Dairy
from cavewatch.core.due import Task
from cavewatch.core.reading import Channel
from cavewatch.core.urgent import task_words
from cavewatch.screens import wording
from cavewatch.screens.lines import Item, Line, Part, Role, clean, pad, wrap
from cavewatch.screens.plan import NARROW
from cavewatch.units import Display

PICKED = "■ "
_UNTIL = 15
"""Cells of the countdown."""
_WEEK = 7


@dataclass(frozen=True, slots=True)
class Chore:
    """One thing to do."""

    key: str
    """What tells it from the others."""
    words: str
    """As an instruction."""
    at: float | None
    """When [s since 1970 UTC]; None for what has no time."""
    task: Task | None = None
    """With wheels or a tub."""
    channel: Channel | None = None
    """The sensor to be checked."""


def chores(dairy: Dairy, display: Display) -> tuple[Chore, ...]:
    """Everything that is due some time, soonest first; what has no time comes last."""
    found = [
        Chore(
            f"{task.action} {task.place} {task.wheels} {task.at.expected}",
            clean(task_words(task, dairy, display.mass)),
            task.at.expected,
            task=task,
        )
        for task in dairy.tasks
    ]
    found += [
        Chore(
            f"check {due.channel}",
            clean(
                f"check the {due.channel.quantity} sensor of {due.channel.place}"
                + (", never checked so far" if due.at is None else "")
            ),
            due.at,
            channel=due.channel,
        )
        for due in dairy.checks
    ]
    return tuple(sorted(found, key=lambda chore: (chore.at is None, chore.at or 0.0)))


def due_items(
    found: Sequence[Chore],
    picked: Collection[str],
    now: float,
    zone: ZoneInfo,
    width: int,
    airy: bool = False,
) -> list[Item]:
    """The chores as items, the first of each day headed by it; late ones first of all.

    Args:
        found: soonest first.
        picked: keys of those that are marked.
        now: [s since 1970 UTC]
        zone: in which days begin.
        width: of a line [cells].
        airy: whether there is room for blank lines between the days.
    """
    items: list[Item] = []
    for day, group in groupby(found, lambda chore: _day(chore.at, now, zone)):
        those = list(group)
        times = [_time(chore.at, day, now, zone) for chore in those]
        column = 2 + max(map(len, times)) if any(times) else 0
        role = Role.ALERT if day == _LATE else Role.FAINT
        title = (Part(f"{day}, {len(those)}" if day == _LATE else day, role),)
        heading: tuple[Line, ...] = ((), title) if airy and items else (title,)
        for chore, time in zip(those, times, strict=True):
            lines = _lines(chore, chore.key in picked, pad(time, column), now, width)
            items.append(Item(chore.key, (*heading, *lines), above=len(heading)))
            heading = ()
    return items


_LATE, _FAR = "late", "after this week"


def _day(at: float | None, now: float, zone: ZoneInfo) -> str:
    """The heading that a time comes under."""
    if at is None:
        return "any day"
    if at <= now - wording.MINUTE:
        return _LATE
    there, here = clock.local(at, zone), clock.local(now, zone)
    days = (there.date() - here.date()).days
    if days >= _WEEK:
        return _FAR
    named = f"{there:%a} {there.day} {there:%b}"
    return f"{('today', 'tomorrow')[max(0, days)]}, {named}" if days < 2 else named


def _time(at: float | None, day: str, now: float, zone: ZoneInfo) -> str:
    """A time under that heading, with its day where the heading does not tell it."""
    if at is None:
        return ""
    return clock.moment(at, now, zone) if day in (_LATE, _FAR) else f"{clock.local(at, zone):%H:%M}"


def _lines(chore: Chore, picked: bool, time: str, now: float, width: int) -> tuple[Line, ...]:
    """When and what; what does not fit beside the time goes on below."""
    head: list[Part] = [Part(PICKED if picked else " " * len(PICKED), Role.STRONG)]
    if chore.at is not None:
        role = Role.ALERT if chore.at <= now else Role.STRONG
        head.append(Part(pad(wording.until(chore.at, now), _UNTIL), role))
        head.append(Part(time, Role.FAINT))
    below = width < NARROW and chore.at is not None
    indent = len(PICKED) if below else sum(len(part.text) for part in head)
    texts = wrap(chore.words, width - indent)
    rest = tuple((Part(" " * indent), Part(text)) for text in (texts if below else texts[1:]))
    return (tuple(head) if below else (*head, Part(texts[0])), *rest)
