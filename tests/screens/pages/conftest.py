"""A dairy with a past: alarms that came and went, corrections, a place that does not count."""

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.alarms.table import State, Trigger, after
from cavewatch.core.journal import Noted, Suppressed, Turned, Voided

HOUR = 3600.0


def moved(alarm: Alarm, *steps: tuple[float, Trigger]) -> list[Transition]:
    """What an alarm does: when [s since 1970 UTC] and by what."""
    found = []
    alarm = replace(alarm, state=State.NORM)
    for at, trigger in steps:
        before = alarm.state
        alarm = replace(alarm, state=after(before, trigger))
        if trigger is Trigger.ABNORMAL:
            alarm = replace(alarm, since=at, called=at)
        found.append(Transition(at, before, trigger, alarm))
    return found


@pytest.fixture
def past(scene: SimpleNamespace) -> Callable[[], Any]:
    """Makes the busy dairy with three alarms of the last days."""

    def build() -> Any:
        desk, now = scene.busy(), scene.NOW
        warm = replace(
            scene.alarm(
                "upper cave.temperature high", "upper cave is too warm: 15.2 °C, at most 14 °C"
            ),
            place="upper cave",
        )
        desk.passed = [
            *moved(
                warm,
                (now - 50 * HOUR, Trigger.ABNORMAL),
                (now - 49.5 * HOUR, Trigger.ACKNOWLEDGE),
                (now - 46 * HOUR, Trigger.NORMAL),
            ),
            *moved(
                scene.SILENT,
                (now - 9 * HOUR, Trigger.ABNORMAL),
                (now - 8.5 * HOUR, Trigger.NORMAL),
            ),
            *moved(scene.TOO_DRY, (now - 2 * HOUR, Trigger.ABNORMAL)),
        ]
        desk.append(Turned((14, 15, 16, 17)), now - 3 * HOUR, "MK")
        desk.append(Voided(desk.kept[-1].id, "it was wheel 18"), now - HOUR, "AB")
        words = "a little greasy near the edge; wiped it with a dry cloth, lowest board"
        desk.append(Noted(words, (5,)), now - HOUR / 2, "MK")
        desk.append(Suppressed("drying rack", now + HOUR, "door open"), now - 600, "MK")
        desk.solve()
        return desk

    return build
