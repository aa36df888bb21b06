"""The standard's figures for the alarms, each with what it means and what is good."""

from collections.abc import Iterator
from dataclasses import dataclass

from cavewatch import clock
from cavewatch.core.alarms.alarm import Priority
from cavewatch.core.alarms.figures import DAY, USUAL
from cavewatch.screens.alarm_past import AlarmPast
from cavewatch.screens.lines import Line, Part, Role, clean, pad, wrap
from cavewatch.screens.plan import NARROW

_STANDARD = "standard"
_OWN = "judgement"
_PER_WEEK, _PER_DAY, _MIX, _STALE, _FLOODED = 5.0, 150.0, (80, 15, 5), 5, 0.01
_FEWEST = 20
"""With fewer alarms a mix of priorities says nothing; judgement."""
_MOST_NAMED = 5
_LABEL, _VALUE = 20, 32
SOURCE = (
    "standard: ANSI/ISA-18.2 and IEC 62682, clause 16, as an engineer's summary gives it; the "
    "standard itself was not read. It is meant for one operator and at least 30 days. "
    "judgement: ours, for a dairy of one person."
)


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure."""

    label: str
    value: str
    meaning: str
    """What it is, and what it tells."""
    target: str
    """What is good, and who says so."""
    met: bool | None = None
    """Whether it is good; None where nobody says."""


def figures(past: AlarmPast) -> Iterator[Figure]:
    """All figures of a span."""
    found, answered = past.figures, past.answered
    low, medium, high = (dict(found.priorities).get(p, 0) for p in Priority)
    week = found.per_day * 7
    yield Figure(
        "raised",
        f"{found.total}, {found.per_day:.1f} a day",
        "how often an alarm called for somebody",
        f"fewer than {_PER_WEEK:g} a week ({_OWN}); at most {_PER_DAY:g} a day ({_STANDARD})",
        week < _PER_WEEK,
    )
    yield Figure(
        "low, medium, high",
        f"{low}, {medium}, {high}",
        "by priority: if many are high, none is",
        f"about {', '.join(map(str, _MIX))} % ({_STANDARD}); tells from {_FEWEST} alarms on",
        None if found.total < _FEWEST else high <= found.total * 2 * _MIX[2] / 100,
    )
    yield Figure(
        "standing now",
        f"{len(found.standing)}",
        "abnormal, or held since, and not suppressed",
        f"each with a plan ({_OWN})",
    )
    yield Figure(
        "stale",
        f"{len(found.stale)}",
        f"stood for more than {USUAL.stale / 3600:g} h: nobody looks at it any more",
        f"fewer than {_STALE} on any day ({_STANDARD})",
        len(found.stale) < _STALE,
    )
    yield Figure(
        "chattering",
        f"{len(found.chattering)}",
        f"raised {USUAL.chatters} times or more in {USUAL.chatter_window:g} s: a longer delay or "
        "a wider deadband ends it",
        f"none ({_STANDARD})",
        not found.chattering,
    )
    yield Figure(
        "fleeting",
        f"{len(found.fleeting)}",
        f"gone within {USUAL.fleeting:g} s, before anybody saw it: a longer delay ends it",
        f"none ({_STANDARD})",
        not found.fleeting,
    )
    yield Figure(
        "busiest 10 min",
        f"{found.busiest}",
        f"more than {USUAL.flood_above} at once are a flood, in which nobody can follow",
        f"at most {USUAL.flood_above}; in flood less than 1 % of the time ({_STANDARD}): "
        f"{found.flooded / (found.days * DAY):.1%} now",
        found.flooded < _FLOODED * found.days * DAY,
    )
    median = answered.median
    took = "none given"
    if median is not None:
        took = f"{clock.duration(median)}, longest {clock.duration(answered.took[-1])}"
    yield Figure(
        "acknowledged after",
        took,
        "from the call to the acknowledgement, the middle one and the longest",
        f"within each alarm's own time to respond ({_OWN}): {answered.in_time} of "
        f"{len(answered.took)}",
        None if median is None else answered.in_time == len(answered.took),
    )
    yield Figure(
        "waiting",
        f"{answered.waiting}",
        "not yet acknowledged",
        f"none at the end of a day ({_OWN})",
    )


def figure_lines(past: AlarmPast, width: int) -> list[Line]:
    """All of them as text, then which alarms they come from, then the sources."""
    lines: list[Line] = []
    for figure in figures(past):
        lines += _figure(figure, width)
    lines += _often(past, width)
    return [*lines, (), *((Part(text, Role.FAINT),) for text in wrap(SOURCE, width))]


def _figure(figure: Figure, width: int) -> list[Line]:
    verdict = {True: "good", False: "not good", None: ""}[figure.met]
    role = Role.CAUTION if figure.met is False else Role.STRONG
    head: Line = (
        Part(pad(figure.label, _LABEL)),
        Part(pad(figure.value, _VALUE) if verdict else figure.value, role),
        Part(verdict, Role.CAUTION if figure.met is False else Role.FAINT),
    )
    if width < NARROW:
        head = (
            Part(f"{figure.label} "),
            Part(figure.value, role),
            Part(f" {verdict}", Role.CAUTION if figure.met is False else Role.FAINT),
        )
    told = f"{figure.meaning}. Target: {figure.target}"
    return [head, *((Part(f"  {text}", Role.FAINT),) for text in wrap(told, width - 2))]


def _often(past: AlarmPast, width: int) -> list[Line]:
    """Which alarms called most, in their own words."""
    names = {t.alarm.key: t.alarm.explanation.what for t in past.transitions}
    lines: list[Line] = [(), (Part("most often"),)] if past.figures.raised else []
    for key, times in past.figures.raised[:_MOST_NAMED]:
        marks = [
            word
            for word, keys in (
                ("chattering", past.figures.chattering),
                ("fleeting", past.figures.fleeting),
                ("stale", past.figures.stale),
            )
            if key in keys
        ]
        words = clean(names.get(key, key) + (f" ({', '.join(marks)})" if marks else ""))
        for index, text in enumerate(wrap(words, width - 7)):
            count = f"{times} ×" if index == 0 else ""
            lines.append((Part(pad(count, 5, right=True), Role.STRONG), Part(f"  {text}")))
    more = len(past.figures.raised) - _MOST_NAMED
    if more > 0:
        lines.append((Part(f"       and {more} more", Role.FAINT),))
    return lines
