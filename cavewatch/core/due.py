"""Due work as tasks: what the countdowns ask for, and tests of the brine.

Wheels to be treated alike stand together; work on the rind is in `care`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from cavewatch.core.brine.life import TubLife
from cavewatch.core.brine.upkeep import tests_due
from cavewatch.core.countdown import Action, Countdown, Span
from cavewatch.core.wheel import Wheel

TOGETHER = 60.0
"""Wheels of a make whose times differ by less than this are one task [s]."""


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to do with some wheels, or with a tub."""

    action: Action
    at: Span
    """Earliest, expected, latest [s since 1970 UTC]."""
    wheels: tuple[int, ...]
    """Empty for a tub."""
    place: str
    style: str
    """Name of the style; empty for a tub."""
    grams: Span | None
    """Salt for each wheel [g], where the action puts some on."""
    every: float | None = None
    """How often it comes back [s]: care of the rind; None for what comes once."""
    what: str = ""
    """For TEST: what to measure and look at, as an instruction."""

    @property
    def salting(self) -> bool:
        """Whether a countdown asks for it."""
        return self.every is None and self.action is not Action.TEST

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


def tests(lives: Mapping[str, TubLife], at: float) -> tuple[Task, ...]:
    """What each tub is due to be tested for, as one task a tub, soonest first.

    Args:
        lives: of the tubs' brines, by place.
        at: now [s since 1970 UTC]; what falls due together with the first is named too.
    """
    found = []
    for place, life in lives.items():
        asked = [due for due in tests_due(life, at, life.in_now_kg > 0) if not due.advice]
        if asked:
            first = asked[0].at
            what = "; ".join(due.what for due in asked if due.at <= max(at, first))
            found.append(
                Task(Action.TEST, Span(first, first, first), (), place, "", None, None, what)
            )
    return tuple(sorted(found, key=lambda task: (task.at.expected, task.place)))
