"""The status as lines of text, for any width from 24 characters on."""

import textwrap
from collections.abc import Iterator

from cavewatch import clock
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.status.verdict import Verdict
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.alarms.table import CALLING, SUPPRESSED
from cavewatch.core.dairy import ChannelView, Dairy, PlaceView
from cavewatch.core.due import TOGETHER, Task
from cavewatch.core.reading import Quantity, SignalStatus
from cavewatch.core.text import clean
from cavewatch.core.urgent import calling, task_words, urgent, wheel_words

FULL = 4
"""Alarms told with what to do; of more only the number, so that all stays one screen."""
AHEAD = 8
"""Tasks told."""
_WORDS = {
    Verdict.WELL: "well",
    Verdict.ATTENTION: "attention",
    Verdict.ALARM: "ALARM",
    Verdict.UNWATCHED: "UNWATCHED",
}


def screen(dairy: Dairy, desk: StoreDesk, found: Verdict, why: str, width: int) -> Iterator[str]:
    """One screen: the verdict, alarms with what to do, places, what is next.

    Args:
        dairy: the picture.
        desk: whose words and units are used.
        found: the verdict.
        why: its reason where neither alarms nor tasks tell it; else empty.
        width: of the terminal [characters].
    """
    page = _Page(dairy, desk, width)
    yield from page.text(f"{desk.title}, {clock.local(dairy.at, desk.zone):%a %d %b %H:%M}")
    yield from page.text(_headline(dairy, found, why))
    if not isinstance(calling(dairy, dairy.at), Alarm):
        yield from page.text(
            urgent(dairy, dairy.at, page.moment, clock.duration, desk.display.mass)
        )
    if not why and (notice := desk.notice()):
        yield from page.text(notice)
    if dairy.alarms:
        yield from ("", "Alarms")
        yield from page.alarms()
    yield from ("", "Places")
    for place in dairy.places:
        yield from page.text(f"{place.place.name}: {_measured(place, desk)}", "  ")
    if dairy.tasks:
        yield from ("", "Next")
        yield from page.tasks()
    yield from page.checks()


def one_line(dairy: Dairy, desk: StoreDesk, found: Verdict, why: str) -> str:
    """The verdict with its first reason, or what is next on a quiet day."""
    page = _Page(dairy, desk, 0)
    told = why or page.first()
    return clean(f"{desk.title}: {_WORDS[found]}{': ' if told else ''}{told}", 300)


def _headline(dairy: Dairy, found: Verdict, why: str) -> str:
    if why:
        return f"{_WORDS[found]}: {why}"
    if found is Verdict.ALARM:
        waiting = sum(alarm.state in CALLING for alarm in dairy.alarms)
        return f"ALARM: {waiting} {'waits' if waiting == 1 else 'wait'} to be acknowledged"
    return "Needs attention" if found is Verdict.ATTENTION else "All is well"


class _Page:
    """One picture, put into lines of one width."""

    def __init__(self, dairy: Dairy, desk: StoreDesk, width: int) -> None:
        self._dairy, self._desk, self._width = dairy, desk, width

    def text(self, text: str, indent: str = "", hang: str = "  ") -> list[str]:
        """A paragraph; what does not fit into its first line is indented."""
        return textwrap.wrap(
            clean(text, 1000), self._width, initial_indent=indent, subsequent_indent=indent + hang
        )

    def moment(self, at: float) -> str:
        """An instant, with a question mark as long as the clock is not set."""
        words = clock.moment(at, self._dairy.at, self._desk.zone)
        return words if self._dairy.clock_sure else f"{words}?"

    def alarms(self) -> Iterator[str]:
        """Each alarm, the first few with what to do."""
        for alarm in self._dairy.alarms[:FULL]:
            told = alarm.explanation
            yield from self.text(f"{alarm.state} {alarm.priority}: {told.what}", "  ")
            if alarm.state in SUPPRESSED:
                until = "" if alarm.until is None else f"until {self.moment(alarm.until)}"
                yield from self.text(until, "    ")
                continue
            yield from self.text(
                f"Since {self.moment(alarm.since)}, to be answered within "
                f"{clock.duration(told.respond_hours * 3600)}: {told.action}",
                "    ",
                "",
            )
        if more := len(self._dairy.alarms) - FULL:
            yield from self.text(f"and {more} more", "  ") if more > 0 else ()

    def tasks(self) -> Iterator[str]:
        """What is next, and why a plan moved."""
        shown = self._dairy.tasks[:AHEAD]
        for task in shown:
            yield from self.text(self._task(task), "  ")
        if (more := len(self._dairy.tasks) - AHEAD) > 0:
            yield from self.text(f"and {more} more", "  ")
        moved: dict[str, set[int]] = {}
        for wheel in (wheel for task in shown for wheel in task.wheels):
            solved = self._dairy.countdowns.get(wheel)
            if solved is not None and solved.shift and wheel not in self._dairy.pending:
                moved.setdefault(solved.shift, set()).add(wheel)
        for shift, wheels in moved.items():
            yield from self.text(f"{wheel_words(wheels)}: {self._desk.display.told(shift)}", "  ")

    def checks(self) -> Iterator[str]:
        """How many sensors are to be checked; none is urgent."""
        late = [
            due for due in self._dairy.checks if due.at is not None and due.at <= self._dairy.at
        ]
        never = sum(due.at is None for due in self._dairy.checks)
        words = []
        if late:
            since = self.moment(late[0].at or 0.0)
            words.append(f"{len(late)} due, the first of {late[0].channel} since {since}")
        if never:
            words.append(f"{never} sensor{'' if never == 1 else 's'} never checked")
        if words:
            yield from ("", *self.text(f"Sensor checks: {'; '.join(words)}"))

    def first(self) -> str:
        """What calls, stands or comes first, in some words; empty if nothing does."""
        alarms = [alarm for alarm in self._dairy.alarms if alarm.state not in SUPPRESSED]
        due = [task for task in self._dairy.tasks if task.late_by(self._dairy.at) >= 0]
        told = [alarm.explanation.what for alarm in alarms] + [self._task(task) for task in due]
        if told:
            return told[0] + (f" (and {len(told) - 1} more)" if len(told) > 1 else "")
        if not self._dairy.clock_sure:
            return self._desk.notice()
        return f"next {self._task(self._dairy.tasks[0])}" if self._dairy.tasks else ""

    def _task(self, task: Task) -> str:
        late = task.late_by(self._dairy.at)
        when = f"late {clock.duration(late)}" if late >= TOGETHER else self.moment(task.at.expected)
        return f"{when}  {task_words(task, self._dairy, self._desk.display.mass)}"


def _measured(place: PlaceView, desk: StoreDesk) -> str:
    words = [_value(view, desk) for view in place.channels]
    if place.strength is not None:
        words.append(f"brine {desk.display.strength(place.strength)}")
    return ", ".join(words) or "nothing measured"


def _value(view: ChannelView, desk: StoreDesk) -> str:
    if view.silent or view.reading is None or view.reading.value is None:
        return f"{view.channel.quantity} silent"
    temperature = view.channel.quantity is Quantity.TEMPERATURE
    show = desk.display.temperature if temperature else desk.display.humidity
    words = show(view.reading.value)
    if view.reading.status is not SignalStatus.GOOD:
        words += f" signal {view.reading.status}"
    return words + ("" if view.misses == 0 else " HIGH" if view.misses > 0 else " LOW")
