"""What to enter when a task was done just as it was asked for."""

from cavewatch.core.countdown import CARE, Action
from cavewatch.core.due import Task
from cavewatch.core.journal import Act, Salted, Turned, Wash, Washed

_COARSE = 10.0
"""From this weight on, salt is told and weighed out to whole grams [g]."""


def act_of(task: Task) -> Act | None:
    """The act; None for what needs more to be told: where wheels went, what a test found.

    Salt is taken to be put on as it was asked for, to the figures that are shown.
    """
    if task.action is Action.TURN:
        return Turned(task.wheels)
    if task.action in CARE:
        return Washed(task.wheels, Wash(task.action))
    if task.action in (Action.SALT_FACE, Action.COAT) and task.grams is not None:
        grams = task.grams.expected
        return Salted(task.wheels, round(grams, 1 if grams < _COARSE else 0))
    return None
