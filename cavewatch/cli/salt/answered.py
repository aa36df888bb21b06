"""The planner's answer as plain values, for screens, which know nothing of the salting core."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from zoneinfo import ZoneInfo

from cavewatch.cli.salt.timetable import Scheduled, Times, scheduled
from cavewatch.cli.salt.wording import aim_words, once_aged, rate_words, target_words
from cavewatch.core.countdown import Span
from cavewatch.core.planner import Answer, Question
from cavewatch.core.salting.asked import Asked
from cavewatch.core.salting.crossing import HORIZON
from cavewatch.core.salting.guesses import Rate
from cavewatch.core.salting.milled import MilledAsked, milled
from cavewatch.core.salting.planning import Planned, plan
from cavewatch.core.salting.remarks import remarks
from cavewatch.core.style import Method, Style, StyleBook
from cavewatch.core.urgent import wheel_words

DRAINS = "the more salt and the sooner after milling, the larger the part that drains"


def answered(
    question: Question, styles: StyleBook, rates: Mapping[str, Rate], zone: ZoneInfo, now: float
) -> Answer:
    """Plan what is asked for, at the rate learned from the maker's own wheels if any was.

    Raises:
        CavewatchError: in one sentence, for what cannot be.
    """
    style = styles[question.style]
    if question.method is Method.MILLED:
        return _milled(question, style)
    asked = Asked(
        style=style,
        method=question.method,
        weight=question.weight,
        shape=question.shape or style.proportions.sized(question.weight / style.density.value),
        temperature=question.temperature,
        strength=question.strength,
        litres=question.litres if question.method is Method.BRINE else None,
        wheels=question.wheels,
        rate=rates.get(style.id),
    )
    times = Times(question.in_at, question.out_by, question.awake)
    if times.in_at is None and times.out_by is None:
        return _salted(question, plan(asked), None)
    timetable = scheduled(asked, times, zone, now)
    return _salted(question, timetable.planned, timetable)


def _salted(question: Question, planned: Planned, timetable: Scheduled | None) -> Answer:
    best = timetable.best if timetable else planned
    *steps, lift = planned.steps
    if timetable is not None:
        # On the clock the lift is fixed; its range stays that of when it has what it shall.
        at, free = lift.at.expected, best.lift
        lift = replace(lift, at=Span(min(at, free.low), at, max(at, free.high)))
    return Answer(
        question=question,
        shape=planned.asked.shape,
        steps=tuple(replace(step, at=_bounded(step.at)) for step in (*steps, lift)),
        in_at=timetable.table.in_at if timetable else None,
        reached=planned.reached,
        salt=planned.salt_percent,
        in_moisture=planned.salt_in_moisture,
        aim=aim_words(best.asked),
        weight=planned.weight_after,
        put_on=planned.put_on,
        brine=planned.brine_after,
        even=planned.even_after,
        cave=planned.cave,
        rests=rate_words(planned.rate),
        remarks=(
            *(timetable.remarks if timetable else ()),
            *remarks(planned),
            *_uncounted(question),
        ),
    )


def _uncounted(question: Question) -> Iterator[str]:
    """That wheels which are in the tub take salt too."""
    if question.others:
        left = question.others_leave
        down = "" if left is None else f", and alone bring it to {left:.1f} %"
        yield (
            f"counts the planned wheels alone: {wheel_words(question.others)} in the tub still "
            f"take salt from it{down}"
        )


def _bounded(at: Span) -> Span:
    """What is never reached is so at infinity."""
    low, expected, high = (
        math.inf if each >= HORIZON else each for each in (at.low, at.expected, at.high)
    )
    return Span(low, expected, high)


def _milled(question: Question, style: Style) -> Answer:
    made = milled(MilledAsked(style, question.weight))
    return Answer(
        question=question,
        shape=None,
        steps=(),
        in_at=None,
        reached=True,
        salt=made.salt_percent,
        in_moisture=made.salt_in_moisture,
        aim=f"{target_words(made.target)} once pressed, {once_aged(style)}",
        weight=made.cheese,
        put_on=Span(made.dose, made.dose, made.dose),
        brine=None,
        even=None,
        cave=question.temperature,
        rests="part of the salt that stays, as the style book has it",
        remarks=(DRAINS,),
    )
