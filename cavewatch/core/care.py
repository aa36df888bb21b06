"""Care of the rind as tasks: from the interval of the stage and what was done last."""

from collections.abc import Mapping
from dataclasses import replace

from cavewatch.core.countdown import Action, Span
from cavewatch.core.due import Task
from cavewatch.core.stages import DAY, staged
from cavewatch.core.wheel import Wheel

ROUND = 1 / 8
"""Wheels whose times lie within this part of the interval are done in one round [-]."""

WET = (Action.WASH, Action.RUB)
"""Either does for the other: both wet the rind."""


def care(wheels: Mapping[int, Wheel], at: float) -> tuple[Task, ...]:
    """The next care of every wheel that has left salt, one task a round, soonest first.

    It is due an interval after it was done last; where it was not done in this
    stage and place, an interval after the wheel came into the stage or onto
    the record, whichever was later.

    Args:
        wheels: by number; ended ones have no care.
        at: now, which tells the stage [s since 1970 UTC].
    """
    asked = sorted(
        (task for wheel in wheels.values() for task in _of(wheel, at)),
        key=lambda task: (task.place, task.style, task.action, task.every, task.at.expected),
    )
    rounds: list[Task] = []
    for task in asked:
        if rounds and _same_round(rounds[-1], task):
            numbers = tuple(sorted((*rounds[-1].wheels, *task.wheels)))
            rounds[-1] = replace(rounds[-1], wheels=numbers)
        else:
            rounds.append(task)
    return tuple(sorted(rounds, key=lambda task: (task.at.expected, task.wheels)))


def _of(wheel: Wheel, at: float) -> list[Task]:
    stage = staged(wheel, at)
    if stage is None:
        return []
    known = wheel.stays[0].at if wheel.stays else wheel.since
    begun = max(stage.since, known, wheel.salted_out_at or known)
    found = []
    for work in stage.stage.works:
        acts = WET if work.action in WET else (work.action,)
        last = max((wheel.cared.get(act, begun) for act in acts), default=begun)
        due = max(last, begun) + work.every * DAY
        at_ = Span(due, due, due)
        found.append(
            Task(
                work.action,
                at_,
                (wheel.id,),
                wheel.place,
                wheel.style.name,
                None,
                every=work.every * DAY,
            )
        )
    return found


def _same_round(one: Task, other: Task) -> bool:
    alike = (one.place, one.style, one.action, one.every) == (
        other.place,
        other.style,
        other.action,
        other.every,
    )
    return alike and other.at.expected - one.at.expected <= ROUND * (one.every or 0.0)
