"""Wheels in salt: those of a make that are to be treated alike stand together."""

from dataclasses import dataclass, replace
from math import inf
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.countdown import Countdown, Span, Step
from cavewatch.core.dairy import Dairy
from cavewatch.core.due import TOGETHER
from cavewatch.core.urgent import number_words
from cavewatch.core.wheel import Standing, Wheel
from cavewatch.screens import wording
from cavewatch.screens.gauge import salt_bar
from cavewatch.screens.lines import Line, Part, Role, cell, clean, fit, spread
from cavewatch.screens.plan import NARROW, WIDE
from cavewatch.units import Display

PENDING = "being worked out"
IN_SALT = (Standing.IN_BRINE, Standing.IN_DRY_SALT)
_WHEN, _WHEN_NARROW = 18, 17
"""Cells of the longest usual countdown, 'turn in 9 min 40', and for narrow screens."""


@dataclass(frozen=True, slots=True)
class Group:
    """Wheels of one make, in one place, with the same times."""

    numbers: tuple[int, ...]
    wheel: Wheel
    """The first of them."""
    countdown: Countdown | None
    """Of the first of them; None while it is being worked out."""
    sure: bool = True
    """False while the clock is not set, so that the times are uncertain."""

    @property
    def key(self) -> str:
        """What tells it from others as long as its wheels stay together."""
        return f"wheels {self.numbers[0]}"

    @property
    def next(self) -> Step | None:
        """What is to be done next."""
        return self.countdown.steps[0] if self.countdown and self.countdown.steps else None

    @property
    def lift(self) -> Step | None:
        """When they come out."""
        return self.countdown.steps[-1] if self.countdown and self.countdown.steps else None

    @property
    def shift(self) -> float | None:
        """By how much the lift has moved since it was planned, where that is worth telling [s]."""
        solved = self.countdown
        if solved is None or self.lift is None or solved.pinned is None or not solved.shift:
            return None
        return self.lift.at.expected - solved.pinned.lift


def groups_of(dairy: Dairy) -> tuple[Group, ...]:
    """All wheels in salt, grouped, the next action first; those without a countdown last."""
    found: list[Group] = []
    for number, wheel in sorted(dairy.wheels.items()):
        if wheel.standing not in IN_SALT:
            continue
        solved = None if number in dairy.pending else dairy.countdowns.get(number)
        for index, group in enumerate(found):
            if _alike(group, wheel, solved):
                found[index] = replace(group, numbers=(*group.numbers, number))
                break
        else:
            found.append(Group((number,), wheel, solved, dairy.clock_sure))
    return tuple(sorted(found, key=_order))


def _alike(group: Group, wheel: Wheel, solved: Countdown | None) -> bool:
    if (group.wheel.make, group.wheel.place) != (wheel.make, wheel.place):
        return False
    if group.countdown is None or solved is None:
        return group.countdown is solved
    mine, theirs = group.countdown.steps, solved.steps
    return len(mine) == len(theirs) and all(
        a.action is b.action and abs(a.at.expected - b.at.expected) < TOGETHER
        for a, b in zip(mine, theirs, strict=True)
    )


def _order(group: Group) -> tuple[float, int]:
    return (inf if group.next is None else group.next.at.expected, group.numbers[0])


def when(group: Group, now: float) -> Part:
    """The countdown of a group; the only thing about it that changes by itself."""
    step = group.next
    if step is None:
        return Part(PENDING, Role.FAINT)
    mark = "" if group.sure else "?"
    words = wording.countdown(step.action, step.at.expected, now) + mark
    return Part(words, Role.ALERT if step.at.expected <= now else Role.STRONG)


def group_lines(
    group: Group, now: float, zone: ZoneInfo, display: Display, width: int, rows: int
) -> tuple[Line, ...]:
    """A group in one line or in two, the countdown first."""
    if rows == 1:
        return (_single(group, now, zone, width),)
    return _first(group, now, display, width), _second(group, now, zone, display, width)


def _head(group: Group, now: float, width: int) -> Line:
    room = _WHEN_NARROW if width < NARROW else _WHEN
    return *cell(when(group, now), room), Part(" ")


def _single(group: Group, now: float, zone: ZoneInfo, width: int) -> Line:
    left = (
        *_head(group, now, width),
        Part(f"{number_words(group.numbers):<7} "),
        Part(clean(group.wheel.style.name), Role.FAINT),
    )
    lift = group.lift
    if lift is None or width < NARROW:
        return fit(left, width)
    return spread(left, (Part(wording.out(lift.at, now, zone)),), width)


def _first(group: Group, now: float, display: Display, width: int) -> Line:
    wheel = group.wheel
    each = " each" if len(group.numbers) > 1 else ""
    details = wheel.style.name
    if width >= NARROW:
        details += f", {display.mass(wheel.weight)}{each}, {wheel.place}"
    line = (
        *_head(group, now, width),
        Part(f"{number_words(group.numbers):<7} ", Role.STRONG),
        Part(clean(details)),
    )
    if group.shift is None or width < NARROW:
        return fit(line, width)
    return spread(line, (Part(wording.moved(group.shift), Role.CAUTION),), width)


def _second(group: Group, now: float, zone: ZoneInfo, display: Display, width: int) -> Line:
    lift, solved = group.lift, group.countdown
    if lift is None or solved is None:
        since = clock.moment(group.wheel.since, now, zone)
        return fit((Part(f"  {group.wheel.standing} since {since}", Role.FAINT),), width)
    words = wording.out(lift.at, now, zone)
    if width < NARROW:
        return fit((Part("  "), Part(words, Role.FAINT)), width)
    have, aim = solved.salt, solved.target
    over = have.expected > aim.high
    return fit(
        (
            *cell(Part(f"  {words}"), 37),
            Part(" "),
            *salt_bar(have, aim, 8 if width < WIDE else 16),
            Part(" salt ", Role.FAINT),
            Part(_range(have, display), Role.ALERT if over else Role.PLAIN),
            Part(" too much," if over else "", Role.ALERT if over else Role.PLAIN),
            Part(f" of {display.salt(aim.expected)}", Role.FAINT),
        ),
        width,
    )


def _range(salt: Span, display: Display) -> str:
    """Salt in a wheel as the model's range, '1.2–1.7 %'."""
    low, high = display.salt(salt.low), display.salt(salt.high)
    return high if low == high else f"{low.partition(' ')[0]}–{high}"
