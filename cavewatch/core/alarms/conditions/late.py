"""Work so late that it begins to cost something; until then it is a task and no alarm."""

from collections.abc import Container, Mapping

from cavewatch.core.alarms.conditions.here import by_style, consequence
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.texts import Words
from cavewatch.core.countdown import Action, Countdown
from cavewatch.core.due import Task
from cavewatch.core.urgent import wheel_words
from cavewatch.core.wheel import Wheel

HOUR = 3600.0
DAY = 24 * HOUR

LATE: dict[Action, tuple[float, float]] = {
    Action.TURN: (0.25, 1.0),
    Action.LIFT: (0.10, 0.5),
    Action.COAT: (0.25, 3.0),
}
"""When lateness begins to cost something in salt: after this part of the salting time so far
[-], but not before so many hours [h]; judgement. Salting the face late is a task only."""
TOO_SALTY = 0.5
"""A lift is not late either before the wheel has come this part of the way from its aim to
too much salt [-]; judgement. Until then the model cannot tell it from one in time."""
MISSED = 1.0
"""Work on the rind is late after this many of its intervals, and a day; judgement."""

_DONE = {
    Action.TURN: "turned",
    Action.LIFT: "lifted",
    Action.COAT: "coated again",
    Action.WASH: "washed",
    Action.RUB: "rubbed",
    Action.BRUSH: "brushed",
    Action.WIPE: "wiped",
    Action.OIL: "oiled",
    Action.SCRAPE: "scraped",
}


def late(
    task: Task,
    countdowns: Mapping[int, Countdown],
    wheels: Mapping[int, Wheel],
    now: float,
    words: Words,
    told: Container[str] = (),
) -> Condition | None:
    """The condition of a task whose lateness begins to cost something; None before that.

    Once told it stays until the task is no longer overdue, because what a lateness costs is
    worked out anew with every solve, and nobody has acted.

    Args:
        task: with its time.
        countdowns: by wheel.
        wheels: all, by number.
        now: [s since 1970 UTC].
        words: what alarms say.
        told: keys of the alarms whose cause was there at the last look.
    """
    late_by = task.late_by(now)
    if late_by <= 0 or not task.wheels or task.wheels[0] not in wheels:
        return None
    countdown = countdowns.get(task.wheels[0])
    if task.salting and countdown is not None:
        return _in_salt(task, countdown, wheels, late_by, words, _key(task) in told)
    return _on_the_rind(task, wheels, late_by, words)


def _in_salt(
    task: Task,
    countdown: Countdown,
    wheels: Mapping[int, Wheel],
    late_by: float,
    words: Words,
    told: bool,
) -> Condition | None:
    if task.action not in LATE:
        return None
    part, hours = LATE[task.action]
    salt, target = countdown.salt, countdown.target
    dear = target.expected + TOO_SALTY * (target.high - target.expected)
    early = late_by < max(part * (task.at.expected - countdown.started_at), hours * HOUR)
    if not told and (early or (task.action is Action.LIFT and salt.expected < dear)):
        return None
    kind = f"{task.action} late"
    by_now = (
        f"{words.texts[kind].consequence}: "
        f"about {salt.expected:.1f} % salt by now ({salt.low:.1f} to {salt.high:.1f}); "
        f"{task.style} wants {target.expected:.1f} % at the lift and no more than "
        f"{target.high:.1f} %"
    )
    mates = (w for n, w in wheels.items() if w.place == task.place and n not in task.wheels)
    return _condition(task, kind, by_now, late_by, words, by_style(mates))


def _on_the_rind(
    task: Task, wheels: Mapping[int, Wheel], late_by: float, words: Words
) -> Condition | None:
    """Care that is a whole interval late.

    None where nobody enters such work for any wheel: lateness is then not known.
    """
    if task.every is None or late_by < max(MISSED * task.every, DAY):
        return None
    if not any(task.action in wheel.cared for wheel in wheels.values()):
        return None
    kind = "turning late" if task.action is Action.TURN else "rind care late"
    text = words.texts[kind]
    theirs = consequence(text, (wheels[n] for n in task.wheels if n in wheels))
    return _condition(task, kind, theirs, late_by, words)


def _condition(
    task: Task, kind: str, cost: str, late_by: float, words: Words, others: str = ""
) -> Condition:
    who, ago = wheel_words(task.wheels), words.length(late_by)
    what = f"{who} in {task.place} should have been {_DONE[task.action]} {ago} ago"
    return Condition(
        _key(task),
        words.texts[kind].priority,
        words.explained(kind, what, cost, f"{ago} late", others),
    )


def _key(task: Task) -> str:
    return f"{wheel_words(task.wheels)} {task.action} late"
