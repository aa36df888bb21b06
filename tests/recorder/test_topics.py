"""What is published of a dairy."""

import json
from dataclasses import replace

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority
from cavewatch.core.alarms.table import State
from cavewatch.core.countdown import Action, Span
from cavewatch.core.dairy import picture
from cavewatch.core.due import Task
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.core.style import Limits
from cavewatch.recorder.topics import level, messages

WARMTH = Channel("up/per #1", Quantity.TEMPERATURE)
DAMP = Channel("up/per #1", Quantity.HUMIDITY)
CAVE = Place(
    WARMTH.place, PlaceKind.CAVE, {Quantity.TEMPERATURE: Limits(10.0, 13.0, "config")}, None
)
NOW = 1_772_382_600.0  # 2026-03-01 16:30 UTC
TOLD = Explanation("too warm", "sun", "it melts", "shade it", 2.0)


def said(latest=None, alarms=(), tasks=()):
    dairy = picture(NOW, [CAVE], {WARMTH: 90.0, DAMP: 90.0}, {}, [], {}, [], [])
    found = messages(replace(dairy, tasks=tasks), latest or {}, alarms, lambda mass: f"{mass:g} g")
    return {topic: json.loads(text) for topic, text in found.items()}


def test_a_name_cannot_add_a_level_or_a_wildcard_and_two_never_become_one() -> None:
    assert level("a/b+c#d%2F") == "a%2Fb%2Bc%23d%252F"
    assert level("lower cave") == "lower cave"


def test_each_channel_that_has_a_reading_is_published_with_its_range() -> None:
    assert said({WARMTH: Reading(WARMTH, NOW, 12.3456)}) == {
        "reading/up%2Fper %231/temperature": {
            "at": "2026-03-01T16:30:00+00:00",
            "value": 12.35,
            "unit": "degC",
            "status": "good",
            "low": 10.0,
            "high": 13.0,
        }
    }


def test_a_sensor_without_a_value_and_a_channel_without_a_range_are_null() -> None:
    found = said({DAMP: Reading(DAMP, NOW, None, SignalStatus.FAILURE)})
    (reading,) = found.values()
    assert (reading["value"], reading["status"], reading["unit"]) == (None, "F", "%")
    assert (reading["low"], reading["high"]) == (None, None)


def test_alarms_are_published_but_for_those_in_their_normal_state() -> None:
    alarms = [
        Alarm(f"wheel {number} lift late", state, Priority.HIGH, NOW, TOLD)
        for number, state in ((1, State.UNACK), (2, State.NORM), (3, State.SHLVD))
    ]
    found = said(alarms=alarms)
    assert set(found) == {"alarm/wheel 1 lift late", "alarm/wheel 3 lift late"}
    assert found["alarm/wheel 1 lift late"] == {
        "since": "2026-03-01T16:30:00+00:00",
        "state": "UNACK",
        "priority": "high",
        "what": "too warm",
        "causes": "sun",
        "consequence": "it melts",
        "action": "shade it",
        "respond_hours": 2.0,
    }


def test_the_first_task_is_published_with_its_range_in_time() -> None:
    span = Span(NOW - 3600, NOW, NOW + 3600)
    tasks = (
        Task(Action.TURN, span, (3, 4, 5), "tub", "Meadow", None),
        Task(Action.LIFT, span, (9,), "tub", "Meadow", None),
    )
    assert said(tasks=tasks) == {
        "next": {
            "at": "2026-03-01T16:30:00+00:00",
            "earliest": "2026-03-01T15:30:00+00:00",
            "latest": "2026-03-01T17:30:00+00:00",
            "what": "turn wheels 3–5 in tub",
            "action": "turn",
            "place": "tub",
            "wheels": [3, 4, 5],
            "clock_sure": True,
        }
    }
