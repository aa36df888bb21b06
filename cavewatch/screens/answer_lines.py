"""The planner's answer as lines: what to do when, what comes of it, what to mind."""

import math
from collections.abc import Callable, Iterator
from itertools import groupby
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.countdown import Action, Span, Step
from cavewatch.core.planner import Answer
from cavewatch.core.shape import Sphere
from cavewatch.core.style import Method, Style
from cavewatch.screens import wording
from cavewatch.screens.lines import Line, Part, Role, clean, pad, wrap
from cavewatch.units import Display

_FIVE_MINUTES = 300.0
"""The model knows no better, and nobody acts to the second [s]."""
_LABEL = 12
Row = tuple[str, str, Role]
"""What it is, in words, and how it is meant to be seen."""


def answer_lines(
    answer: Answer, style: Style, now: float, zone: ZoneInfo, display: Display, width: int
) -> list[Line]:
    """All of it."""
    doing = list(_doing(answer, now, zone, display))
    column = 2 + max((len(when) for when, _, _ in doing), default=0)
    lines = [
        *_wrapped(_heading(answer, style, display), width, Role.PLAIN),
        *_wrapped(_where(answer, display), width, Role.FAINT),
        (),
    ]
    for row in doing:
        lines += _beside(row, min(column, width // 2), width)
    if doing:
        lines.append(())
    for row in _outcome(answer, display):
        lines += _beside(row, _LABEL, width)
    if answer.remarks:
        lines.append(())
    for remark in answer.remarks:
        lines += _beside(("mind", remark, Role.CAUTION), _LABEL, width)
    return lines


def headline(answer: Answer, now: float, zone: ZoneInfo, display: Display) -> str:
    """The whole of it in a few words: 'lift after 2 d 2 h, then 1.5 % salt'."""
    then = f"then {display.salt(answer.salt.expected)} salt"
    if not answer.steps:
        return (
            f"{display.to_weigh(answer.put_on.expected) if answer.put_on else ''} of salt, {then}"
        )
    if not answer.reached:
        return "not reached within 90 days"
    *_, (when, _, _) = _doing(answer, now, zone, display)
    word = "lift" if answer.question.method is Method.BRINE else "off the salt"
    return f"{word} {when}, {then}"


def fault_lines(fault: str, width: int) -> list[Line]:
    """Why there is no answer."""
    return _beside(("no answer", fault, Role.CAUTION), _LABEL, width)


def _heading(answer: Answer, style: Style, display: Display) -> str:
    asked = answer.question
    if asked.method is Method.MILLED:
        return f"{style.name}, {display.mass(asked.weight)} of milled curd"
    many = f"{asked.wheels} wheels of " if asked.wheels > 1 else ""
    size = "" if answer.shape is None else f", {display.shape(answer.shape)}"
    return f"{style.name}, {many}{display.mass(asked.weight)}{size}"


def _where(answer: Answer, display: Display) -> str:
    asked = answer.question
    if asked.method is Method.MILLED:
        return "salt milled into the curd"
    warm = display.temperature(asked.temperature)
    if asked.method is Method.DRY:
        return f"in dry salt at {warm}"
    tub = "endless" if asked.litres is None else display.volume(asked.litres)
    return f"in brine of {display.strength(asked.strength)} at {warm}, {tub}"


def _doing(answer: Answer, now: float, zone: ZoneInfo, display: Display) -> Iterator[Row]:
    """What is done at one time in one row."""
    if not answer.steps:
        return

    def moment(after: float) -> str:
        if math.isinf(after):
            return "never"
        if answer.in_at is None:
            return "at once" if after == 0 else f"after {_duration(after)}"
        return clock.moment(answer.in_at + after, now, zone)

    begun = Step(Action.LIFT, Span(0.0, 0.0, 0.0))
    for at, together in groupby((begun, *answer.steps), key=lambda step: step.at.expected):
        words, role = [], Role.PLAIN
        for step in together:
            if step is begun:
                words.append("goes in" if answer.question.method is Method.BRINE else "to salt")
            else:
                words.append(_step(step, answer, moment, display))
            if step.action is Action.LIFT and step is not begun:
                role = Role.STRONG if answer.reached else Role.CAUTION
        yield moment(at), "; ".join(words), role


def _step(step: Step, answer: Answer, moment: Callable[[float], str], display: Display) -> str:
    salt = "" if step.grams is None else f"{display.dose(step.grams)} of salt"
    match step.action:
        case Action.TURN:
            return "roll" if isinstance(answer.shape, Sphere) else "turn"
        case Action.SALT_FACE:
            return f"{salt} on the dry face"
        case Action.COAT:
            return f"rub in {salt}"
    if not answer.reached:
        return "lift: what it is to have is not reached within 90 days"
    word = "lift" if answer.question.method is Method.BRINE else "off the salt"
    if step.at.high - step.at.low < wording.MINUTE:
        return word
    low, high = (
        moment(_rounded(end)).removeprefix("after ") for end in (step.at.low, step.at.high)
    )
    return f"{word} ({low} to {high})"


def _outcome(answer: Answer, display: Display) -> Iterator[Row]:
    yield "salt then", wording.ranged(answer.salt, display.salt), Role.STRONG
    moist = wording.ranged(answer.in_moisture, display.salt)
    yield "in moisture", f"{moist} (S/M)", Role.PLAIN
    yield "aim", answer.aim, Role.PLAIN
    yield "weighs", display.ranged(answer.weight), Role.PLAIN
    if answer.put_on is not None:
        each = " on each" if answer.question.wheels > 1 and answer.steps else ""
        yield "salt put on", f"{display.ranged(answer.put_on)}{each}", Role.PLAIN
    if answer.brine is not None:
        yield "brine then", wording.ranged(answer.brine, display.strength), Role.PLAIN
    if answer.even is not None:
        days = wording.ranged(answer.even, display.days)
        yield "even after", f"{days} at {display.temperature(answer.cave)}", Role.PLAIN
    yield "rests on", answer.rests, Role.FAINT


def _duration(seconds: float) -> str:
    """'12 h', '2 d 2 h', '3 h 40 min'."""
    return clock.duration(_rounded(seconds)).removesuffix(" 00 min").removesuffix(" 0 h")


def _rounded(seconds: float) -> float:
    if math.isinf(seconds):
        return seconds
    return max(round(seconds / _FIVE_MINUTES), 1) * _FIVE_MINUTES


def _beside(row: Row, column: int, width: int) -> list[Line]:
    """A label with words beside it, wrapped under themselves."""
    label, words, role = row
    return [
        (Part(pad(label if index == 0 else "", column), Role.FAINT), Part(text, role))
        for index, text in enumerate(wrap(clean(words), max(width - column, 8)))
    ]


def _wrapped(words: str, width: int, role: Role) -> list[Line]:
    return [(Part(text, role),) for text in wrap(clean(words), width)]
