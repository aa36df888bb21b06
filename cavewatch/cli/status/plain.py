"""The status as JSON types."""

import dataclasses
from typing import Any

from cavewatch import clock
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.status.verdict import Verdict
from cavewatch.core.dairy import Dairy
from cavewatch.core.due import Task


def plain(dairy: Dairy, desk: StoreDesk, found: Verdict, why: str) -> dict[str, Any]:
    """The picture as JSON types: degC, %, g, and ISO 8601 times."""

    def when(at: float) -> str:
        return clock.iso(at, desk.zone)

    return {
        "at": when(dairy.at),
        "exit_status": found,
        "verdict": found.name.lower(),
        "reason": why,
        "notice": desk.notice(),
        "clock_sure": dairy.clock_sure,
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
        "sensor_checks": [
            {"channel": str(due.channel), "due": None if due.at is None else when(due.at)}
            for due in dairy.checks
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


def plain_fault(fault: str) -> dict[str, Any]:
    """The same where config or store cannot be read."""
    return {
        "exit_status": Verdict.UNWATCHED,
        "verdict": Verdict.UNWATCHED.name.lower(),
        "reason": fault,
        "places": [],
        "tasks": [],
        "sensor_checks": [],
        "alarms": [],
    }


def _shift(task: Task, dairy: Dairy) -> str:
    """By how much a plan moved and why; empty for work that no countdown asks for."""
    solved = [dairy.countdowns[n] for n in task.wheels if n in dairy.countdowns]
    return solved[0].shift if task.salting and solved else ""
