"""Due work: what the countdowns ask for, as tasks; wheels to be treated alike stand together."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from cavewatch.core.countdown import Action, Countdown, Span
from cavewatch.core.wheel import Wheel

TOGETHER = 60.0
"""Wheels of a make whose times differ by less than this are one task [s]."""


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to do with one or more wheels of a make."""

    action: Action
    at: Span
    """Earliest, expected, latest [s since 1970 UTC]."""
    wheels: tuple[int, ...]
    place: str
    style: str
    """Name of the style."""
    grams: Span | None
    """Salt for each wheel [g], where the action puts some on."""

    def late_by(self, now: float) -> float:
        """How long it is overdue [s]; negative while it is still to come."""
        return now - self.at.expected


def tasks(countdowns: Iterable[Countdown], wheels: Mapping[int, Wheel]) -> tuple[Task, ...]:
    """All tasks that the countdowns of these wheels hold, soonest first."""
    found: dict[tuple[int, Action, str, int], Task] = {}
    for countdown in sorted(countdowns, key=lambda c: c.wheel):
        wheel = wheels.get(countdown.wheel)
        if wheel is None:
            continue
        for order, step in enumerate(countdown.steps):
            key = (wheel.make, step.action, wheel.place, order)
            mate = found.get(key)
            if mate is not None and abs(mate.at.expected - step.at.expected) < TOGETHER:
                numbers = (*mate.wheels, wheel.id)
                at, grams = mate.at, mate.grams
            else:
                if mate is not None:
                    key = (-wheel.id, step.action, wheel.place, order)
                numbers, at, grams = (wheel.id,), step.at, step.grams
            found[key] = Task(step.action, at, numbers, wheel.place, wheel.style.name, grams)
    return tuple(sorted(found.values(), key=lambda task: (task.at.expected, task.wheels)))
