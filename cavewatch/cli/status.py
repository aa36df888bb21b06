"""`cavewatch status`: one screen of text, and an exit status for scripts."""

import dataclasses
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from cavewatch import clock
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.live import Live
from cavewatch.core.alarms.table import State
from cavewatch.core.dairy import ChannelView, Dairy
from cavewatch.core.due import Task
from cavewatch.core.reading import Quantity
from cavewatch.core.text import clean
from cavewatch.core.urgent import task_words, urgent, wheel_words
from cavewatch.screens.groups import groups_of

QUIET, ALARM, OVERDUE = 0, 3, 4
"""Exit status: nothing calls; an alarm is unacknowledged; else work is overdue."""


@click.command()
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
@click.pass_obj
def status(config_path: Path | None, as_json: bool) -> None:
    """Say how the dairy stands.

    The exit status is 0 if nothing calls, 3 if an alarm is unacknowledged, 4 if
    work is overdue, 1 if it cannot be told.
    """
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        dairy = desk.picture()
        if as_json:
            click.echo(json.dumps(_plain(dairy, desk), indent=2))
        else:
            for line in _lines(dairy, desk):
                click.echo(clean(line, 200))
    finally:
        live.store.close()
    sys.exit(_exit_status(dairy))


def _exit_status(dairy: Dairy) -> int:
    if any(alarm.state is State.UNACK for alarm in dairy.alarms):
        return ALARM
    return OVERDUE if dairy.tasks and dairy.tasks[0].late_by(dairy.at) > 0 else QUIET


def _lines(dairy: Dairy, desk: StoreDesk) -> Iterator[str]:
    def moment(at: float) -> str:
        return clock.moment(at, dairy.at, desk.zone)

    yield f"{desk.title}, {clock.local(dairy.at, desk.zone):%a %d %b %H:%M}"
    yield urgent(dairy, dairy.at, moment, clock.duration, desk.display.mass)
    if desk.notice():
        yield desk.notice()
    yield ""
    for place in dairy.places:
        words = [_value(view, desk) for view in place.channels]
        if place.strength is not None:
            words.append(f"brine {desk.display.strength(place.strength)}")
        yield f"{place.place.name}: {', '.join(words) or 'nothing measured'}"
    for alarm in dairy.alarms:
        since = moment(alarm.since)
        yield f"{alarm.state}  {alarm.priority}  since {since}: {alarm.explanation.what}"
    if dairy.tasks:
        yield ""
    for task in dairy.tasks:
        yield f"{moment(task.at.expected)}  {task_words(task, dairy, desk.display.mass)}"
    for group in groups_of(dairy):
        if group.countdown is not None and group.countdown.shift:
            yield f"{wheel_words(group.numbers)}: {desk.display.told(group.countdown.shift)}"


def _value(view: ChannelView, desk: StoreDesk) -> str:
    if view.silent or view.reading is None or view.reading.value is None:
        return f"{view.channel.quantity} silent"
    temperature = view.channel.quantity is Quantity.TEMPERATURE
    show = desk.display.temperature if temperature else desk.display.humidity
    word = "" if view.misses == 0 else " HIGH" if view.misses > 0 else " LOW"
    return show(view.reading.value) + word


def _shift(task: Task, dairy: Dairy) -> str:
    """By how much a plan moved and why; empty for work that no countdown asks for."""
    solved = [dairy.countdowns[n] for n in task.wheels if n in dairy.countdowns]
    return solved[0].shift if task.salting and solved else ""


def _plain(dairy: Dairy, desk: StoreDesk) -> dict[str, Any]:
    """The picture as JSON types: degC, %, g, and ISO 8601 times."""

    def when(at: float) -> str:
        return clock.iso(at, desk.zone)

    return {
        "at": when(dairy.at),
        "places": [
            {
                "name": place.place.name,
                "brine_percent": place.strength,
                "channels": [
                    {
                        "quantity": view.channel.quantity,
                        "value": None if view.reading is None else view.reading.value,
                        "read_at": None if view.reading is None else when(view.reading.at),
                        "silent": view.silent,
                        "low": None if view.range.low is None else view.range.low.value,
                        "high": None if view.range.high is None else view.range.high.value,
                        "outside_by": view.misses,
                    }
                    for view in place.channels
                ],
            }
            for place in dairy.places
        ],
        "tasks": [
            {
                "action": task.action,
                "wheels": list(task.wheels),
                "place": task.place,
                "earliest": when(task.at.low),
                "expected": when(task.at.expected),
                "latest": when(task.at.high),
                "shift": desk.display.told(_shift(task, dairy)),
                "grams": None if task.grams is None else dataclasses.asdict(task.grams),
            }
            for task in dairy.tasks
        ],
        "alarms": [
            {
                "key": alarm.key,
                "state": alarm.state,
                "priority": alarm.priority,
                "since": when(alarm.since),
                **dataclasses.asdict(alarm.explanation),
            }
            for alarm in dairy.alarms
        ],
    }
