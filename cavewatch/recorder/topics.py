"""What is published of a dairy: topics and their texts, from what the recorder knows.

Below the dairy's own topic stand `reading/PLACE/QUANTITY`, `alarm/KEY` for each
alarm that is not in its normal state, and `next` for the work that comes next.
Each text is one JSON object; where there is none, there is no topic.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.alarms.table import State
from cavewatch.core.dairy import ChannelView, Dairy
from cavewatch.core.due import Task
from cavewatch.core.ranges import Edge
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.urgent import task_words

_UTC = ZoneInfo("UTC")
_UNIT = {Quantity.TEMPERATURE: "degC", Quantity.HUMIDITY: "%"}
_ESCAPED = str.maketrans({"%": "%25", "/": "%2F", "+": "%2B", "#": "%23"})
"""Signs that part topics or stand for many of them, as in web addresses."""


def level(name: str) -> str:
    """A name as one level of a topic."""
    return name.translate(_ESCAPED)


def messages(
    dairy: Dairy,
    latest: Mapping[Channel, Reading],
    alarms: Iterable[Alarm],
    mass: Callable[[float], str],
) -> dict[str, str]:
    """The texts by topic.

    Args:
        dairy: the picture that was drawn last, for ranges, checks of sensors and work.
        latest: newest reading of each channel, as it was sent.
        alarms: as they stand.
        mass: words for a mass [g].
    """
    return {topic: json.dumps(said) for topic, said in _said(dairy, latest, alarms, mass)}


def _said(
    dairy: Dairy,
    latest: Mapping[Channel, Reading],
    alarms: Iterable[Alarm],
    mass: Callable[[float], str],
) -> Iterator[tuple[str, dict[str, object]]]:
    for place in dairy.places:
        for view in place.channels:
            if (reading := latest.get(view.channel)) is not None:
                topic = f"reading/{level(view.channel.place)}/{view.channel.quantity}"
                yield topic, _reading(reading, view)
    for alarm in alarms:
        if alarm.state is not State.NORM:
            yield f"alarm/{level(alarm.key)}", _alarm(alarm)
    if dairy.tasks:
        yield "next", _next(dairy.tasks[0], dairy, mass)


def _reading(reading: Reading, view: ChannelView) -> dict[str, object]:
    value = view.record.corrected(reading).value
    return {
        "at": _time(reading.at),
        "value": None if value is None else round(value, 2),
        "unit": _UNIT[view.channel.quantity],
        "status": reading.status,
        "low": _edge(view.range.low),
        "high": _edge(view.range.high),
    }


def _alarm(alarm: Alarm) -> dict[str, object]:
    told = alarm.explanation
    return {
        "since": _time(alarm.since),
        "state": alarm.state,
        "priority": alarm.priority,
        "what": told.what,
        "causes": told.causes,
        "consequence": told.consequence,
        "action": told.action,
        "respond_hours": told.respond_hours,
    }


def _next(task: Task, dairy: Dairy, mass: Callable[[float], str]) -> dict[str, object]:
    return {
        "at": _time(task.at.expected),
        "earliest": _time(task.at.low),
        "latest": _time(task.at.high),
        "what": task_words(task, dairy, mass),
        "action": task.action,
        "place": task.place,
        "wheels": task.wheels,
        "clock_sure": dairy.clock_sure,
    }


def _time(at: float) -> str:
    return clock.iso(at, _UTC)


def _edge(edge: Edge | None) -> float | None:
    return None if edge is None else round(edge.value, 2)
