"""What a wheel is, what is left to do with it, and what that rests on."""

from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.countdown import Action, Countdown
from cavewatch.core.stages import stage_of
from cavewatch.core.uptake import Uptake, When
from cavewatch.core.urgent import number_words
from cavewatch.core.wheel import Wheel
from cavewatch.screens import wording
from cavewatch.screens.details import fact
from cavewatch.screens.groups import IN_SALT, PENDING, Group
from cavewatch.screens.lines import Line, Role
from cavewatch.units import Display

_MEANT = {
    Action.TURN: "turned so that both flat faces take up the same by the lift",
    Action.SALT_FACE: "salt for the upper face until the next turn, or the lift",
    Action.COAT: "coats that make up the style's dose together",
}


def fact_lines(
    wheel: Wheel,
    group: Group | None,
    now: float,
    zone: ZoneInfo,
    display: Display,
    width: int,
) -> list[Line]:
    """What it is, and what is left to do with it.

    Args:
        wheel: it.
        group: those that are treated alike, it among them; None once it has ended.
        now: [s since 1970 UTC]
        zone: in which people there read the time.
        display: the viewer's units.
        width: of a line [cells].
    """
    solved = None if group is None else group.countdown
    alike = () if group is None else group.numbers
    each = " each" if len(alike) > 1 else ""
    kind = f"{wheel.style.name}{f', lot {wheel.lot}' if wheel.lot else ''}"
    size = f"{display.mass(wheel.weight)}, {display.shape(wheel.shape)}"
    like = f", as {number_words(alike)}" if each else ""
    lines = fact("wheel", f"{kind}, {size}, {wheel.place}, {wheel.standing}{like}", width)
    if solved is None:
        return [
            *lines,
            *(
                fact("countdown", PENDING, width)
                if wheel.standing in IN_SALT
                else fact("stage", _stage(wheel, now), width)
            ),
        ]
    for index, step in enumerate(solved.steps):
        words = f"{clock.moment(step.at.expected, now, zone)}: {step.action}"
        words += f" {wording.until(step.at.expected, now)}" if index == 0 else ""
        if step.grams is not None:
            words += f", {display.dose(step.grams)} of salt{each}"
        if step.at.high - step.at.low >= wording.MINUTE:
            ends = (clock.moment(end, now, zone) for end in (step.at.low, step.at.high))
            words += f" (earliest {', latest '.join(ends)})"
        late = Role.ALERT if step.at.expected <= now else Role.PLAIN
        lines += fact("to do" if index == 0 else "", words, width, late)
    return lines


def solved_lines(
    solved: Countdown, now: float, zone: ZoneInfo, display: Display, width: int
) -> list[Line]:
    """The salt of a wheel that is in salt, now and when lifted, and what that rests on."""
    so_far = wording.ranged(solved.salt, display.salt)
    if solved.in_moisture is not None:
        so_far += f", {wording.ranged(solved.in_moisture, display.salt)} in its moisture"
    return [
        *fact("salt so far", f"{so_far}, as of {clock.moment(solved.solved_at, now, zone)}", width),
        *fact("salt aimed at", wording.ranged(solved.target, display.salt), width),
        *_at_lift(solved, display, width),
        *fact("rests on", display.told(solved.reason), width),
        *fact("caution", solved.caution, width, Role.CAUTION),
        *fact("meant so", _meant(solved), width),
    ]


def _stage(wheel: Wheel, now: float) -> str:
    """How old it is, in which stage, and what that asks for."""
    stage, age = stage_of(wheel, now), now - wheel.made_at
    doing = wheel.standing.value if stage is None else f"{stage.name}: {stage.care}"
    return f"{clock.duration(age - age % wording.MINUTE)} old, {doing}"


def _at_lift(solved: Countdown, display: Display, width: int) -> list[Line]:
    """What the wheel will be if it is lifted when expected."""
    content = solved.at_lift
    if content is None:
        return []
    salt, moist = (wording.ranged(s, display.salt) for s in (content.salt, content.in_moisture))
    return [
        *fact("when lifted", f"{salt} salt, {moist} in its moisture", width),
        *fact("", f"weighing {wording.ranged(content.weight, display.to_weigh)}", width),
    ]


def _meant(solved: Countdown) -> str:
    """Why its steps come when they do."""
    actions = dict.fromkeys(step.action for step in solved.steps)
    return "; ".join(_MEANT[action] for action in actions if action in _MEANT)


def salt_lines(
    uptake: Uptake, now: float, zone: ZoneInfo, display: Display, width: int
) -> list[Line]:
    """What it took up, once it was lifted; when its salt is even, and what that rests on."""
    lines: list[Line] = []
    if uptake.lifted_at is not None:
        salt, moist = (
            wording.ranged(span, display.salt) for span in (uptake.now.salt, uptake.now.in_moisture)
        )
        lines += fact("when lifted", f"{salt} salt, {moist} in its moisture", width)
        lines += fact("salt aimed at", wording.ranged(uptake.target, display.salt), width)
    even = next(moment.at for moment in uptake.moments if moment.when is When.EVEN)
    low, expected, high = (
        clock.moment(at, now, zone) for at in (even.low, even.expected, even.high)
    )
    lines += fact("even", f"{expected} (earliest {low}, latest {high})", width)
    return [*lines, *fact("", display.told(uptake.rests_on), width, Role.FAINT)]
