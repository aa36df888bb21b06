"""The one most urgent thing, in words."""

from collections.abc import Callable, Iterable

from cavewatch.core.alarms.alarm import Alarm, Priority
from cavewatch.core.alarms.table import State
from cavewatch.core.countdown import CARE, Action
from cavewatch.core.dairy import Dairy
from cavewatch.core.due import TOGETHER, Task
from cavewatch.core.wheel import Standing

SOON = 1800.0
"""A task nearer than this is named before anything is said of what is not due [s]."""

Words = Callable[[float], str]
"""Puts a number into the words of the dairy."""


def calling(dairy: Dairy, now: float) -> Alarm | Task | None:
    """What calls for somebody now; None on a quiet day.

    An unacknowledged high alarm comes first, then salting that is due, then
    other work that is due, then any other unacknowledged alarm.
    """
    unseen = [alarm for alarm in dairy.alarms if alarm.state is State.UNACK]
    for alarm in unseen:
        if alarm.priority is Priority.HIGH:
            return alarm
    due = [task for task in dairy.tasks if task.late_by(now) >= 0]
    if due:
        return next((task for task in due if task.salting), due[0])
    return unseen[0] if unseen else None


def urgent(dairy: Dairy, now: float, moment: Words, length: Words, mass: Words) -> str:
    """What to do first, or until when there is nothing to do, as one sentence without full stop.

    Args:
        dairy: the picture.
        now: the present [s since 1970 UTC].
        moment: words for an instant [s since 1970 UTC], such as 'tomorrow 06:40'.
        length: words for a length of time [s], such as '12 min'.
        mass: words for a mass [g], such as '9 g'.
    """
    first = calling(dairy, now)
    if isinstance(first, Alarm):
        told = first.explanation
        return f"{_capital(told.what)}. {_capital(_sentence(told.action))}"
    if first is not None:
        late = first.late_by(now)
        when = "now" if late < TOGETHER else f"now, {length(late)} late"
        return _capital(f"{task_words(first, dairy, mass)} {when}{_then(first, dairy, mass)}")
    if dairy.tasks:
        task = dairy.tasks[0]
        words, at = task_words(task, dairy, mass), moment(task.at.expected)
        if -task.late_by(now) < SOON:
            return _capital(f"{words} at {at}, in {length(-task.late_by(now))}")
        return f"Nothing is due before {at}: then {words}"
    if dairy.pending:
        return f"The countdown of {wheel_words(dairy.pending)} is being worked out"
    return "Nothing is due: no wheel is in salt"


def task_words(task: Task, dairy: Dairy, mass: Words) -> str:
    """The task as an instruction: 'turn wheels 14–19 in brine tub'."""
    if task.action is Action.TEST:
        return f"test the brine in {task.place}: {task.what}"
    wheels = wheel_words(task.wheels)
    if task.action is Action.TURN or task.action in CARE:
        return f"{task.action} {wheels} in {task.place}"
    grams = "salt" if task.grams is None else f"{mass(task.grams.expected)} of salt"
    each = " each" if len(task.wheels) > 1 else ""
    if task.action is Action.SALT_FACE:
        return f"put {grams}{each} on the face of {wheels} in {task.place}"
    if task.action is Action.COAT:
        return f"rub {grams}{each} on {wheels} in {task.place}"
    wheel = dairy.wheels.get(task.wheels[0])
    if wheel is not None and wheel.standing is Standing.IN_DRY_SALT:
        return f"brush the salt off {wheels} in {task.place}"
    return f"lift {wheels} out of {task.place}"


def wheel_words(numbers: Iterable[int]) -> str:
    """'wheel 14' or 'wheels 14–19, 22'."""
    numbers = tuple(numbers)
    return f"wheel{'' if len(numbers) == 1 else 's'} {number_words(numbers)}"


def number_words(numbers: Iterable[int]) -> str:
    """Numbers with runs drawn together: '14–19, 22'."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(str(number) for number in run)
        for run in runs
    )


def _then(task: Task, dairy: Dairy, mass: Words) -> str:
    """What follows on the same wheels in the same go."""
    for later in dairy.tasks:
        same = later.wheels == task.wheels != () and later.place == task.place
        if later is task or not same:
            continue
        if 0 <= later.at.expected - task.at.expected < TOGETHER:
            if later.action is Action.SALT_FACE and later.grams is not None:
                each = " each" if len(later.wheels) > 1 else ""
                return f"; then {mass(later.grams.expected)} of salt{each} on the face"
            return f"; then {task_words(later, dairy, mass)}"
    return ""


def _sentence(text: str) -> str:
    """The first sentence, without its full stop."""
    return text.split(". ", maxsplit=1)[0].rstrip(". ")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
