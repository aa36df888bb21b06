"""Plans as text for people, fitted to the width of the terminal."""

from itertools import groupby

from cavewatch.cli.salt.layout import (
    Rows,
    duration,
    percent,
    say_line,
    say_rows,
    spoons,
    time_range,
)
from cavewatch.cli.salt.timetable import Scheduled
from cavewatch.core.countdown import Action, Span, Step
from cavewatch.core.salting.activity import MOIST
from cavewatch.core.salting.asked import Asked
from cavewatch.core.salting.clock import REFERENCE
from cavewatch.core.salting.crossing import HORIZON
from cavewatch.core.salting.doses import on_faces
from cavewatch.core.salting.guesses import Rate
from cavewatch.core.salting.planning import Planned
from cavewatch.core.salting.remarks import remarks
from cavewatch.core.salting.target import Basis, Target
from cavewatch.core.salting.teaspoons import Grain
from cavewatch.core.shape import Sphere
from cavewatch.core.style import Method, Style
from cavewatch.units import Display


def say_plan(
    planned: Planned, display: Display, grain: Grain, timetable: Scheduled | None = None
) -> None:
    """What to do when, what comes of it, and what to mind."""
    say_line(_heading(planned.asked, display))
    say_rows(_steps(planned, display, grain, timetable))
    say_line("")
    say_line(_at_lift(planned, timetable))
    say_rows([*_outcome(planned, display, timetable), *_cautions(planned, timetable)])


def _cautions(planned: Planned, timetable: Scheduled | None) -> Rows:
    for remark in (*(timetable.remarks if timetable else ()), *remarks(planned)):
        yield "caution", remark


def _heading(asked: Asked, display: Display) -> str:
    size = f"{asked.style.name}, {display.mass(asked.weight)}, {display.shape(asked.shape)}"
    warm = display.temperature(asked.temperature)
    if asked.method is Method.DRY:
        return f"{size}, in dry salt at {warm}"
    tub = "as much as you like" if asked.litres is None else display.volume(asked.litres)
    many = f" for {asked.wheels} wheels" if asked.wheels > 1 else ""
    return f"{size}, in brine of {asked.strength:.1f} % by weight at {warm} ({tub}{many})"


def _steps(planned: Planned, display: Display, grain: Grain, timetable: Scheduled | None) -> Rows:
    """What is done at one time in one row."""
    begun = Step(Action.LIFT, Span(0.0, 0.0, 0.0))
    for at, together in groupby((begun, *planned.steps), key=lambda step: step.at.expected):
        doing = [
            "goes in" if step is begun else _doing(step, planned, display, grain)
            for step in together
        ]
        yield _when(at, timetable), "; ".join(doing)


def _when(at: float, timetable: Scheduled | None) -> str:
    if timetable is not None:
        return timetable.moment(at)
    if at == 0:
        return "at once"
    return "never" if at >= HORIZON else f"after {duration(at)}"


def _doing(step: Step, planned: Planned, display: Display, grain: Grain) -> str:
    ranged = "" if step.at.low == step.at.high else f" ({time_range(step.at)})"
    grams = step.grams
    match step.action:
        case Action.TURN:
            rolled = isinstance(planned.asked.shape, Sphere)
            return f"{'roll' if rolled else 'turn'}{ranged}"
        case Action.LIFT:
            if not planned.reached:
                return "lift: the target is not reached within 90 days"
            return f"{'lift' if planned.floating else 'off the salt'}{ranged}"
    assert grams is not None
    salt = (
        f"{display.ranged(grams)} of salt, {spoons(grain.teaspoons(grams.expected))} {grain.name}"
    )
    if step.action is Action.SALT_FACE:
        return f"put {salt}, on the face that stands out"
    flat, side = on_faces(planned.asked.shape, grams.expected)
    where = f": {display.mass(flat)} on each flat face, {display.mass(side)} on the side"
    return f"rub in {salt}{where if flat else ''}"


def _at_lift(planned: Planned, timetable: Scheduled | None) -> str:
    out = "Lifted" if planned.floating else "Off the salt"
    after = "90 days" if not planned.reached else duration(planned.lift.expected)
    moment = f" {timetable.moment(planned.lift.expected)}," if timetable else ""
    return f"{out}{moment} after {after}, it will have:"


def _outcome(planned: Planned, display: Display, timetable: Scheduled | None) -> Rows:
    asked = planned.asked
    yield "salt", f"{percent(planned.salt_percent)} of its weight"
    yield "", f"{percent(planned.salt_in_moisture)} of its moisture (S/M)"
    wanted = timetable.best.asked if timetable else asked
    if wanted.hold is None:
        yield "target", aim_words(wanted)
    salt, water = (display.to_weigh(each.expected) for each in (planned.salt, planned.water_out))
    yield (
        "weight",
        f"{display.ranged(planned.weight_after)}: {salt} of salt went in, {water} of water came "
        f"out; moisture {planned.moisture_after.expected:.1f} %",
    )
    yield "uptake", f"{percent(planned.uptake, 100)} of what it would take up in endless time"
    kept = planned.retention
    if planned.put_on is not None and kept is not None:
        drains = Span(1 - kept.high, 1 - kept.value, 1 - kept.low)
        salt = display.to_weigh(planned.put_on.expected)
        yield "drains", f"{percent(drains, 100)} of the {salt} of salt put on"
    if planned.brine_after is not None:
        yield "brine then", f"{percent(planned.brine_after)} by weight"
    yield from _lies(planned, display)
    even = planned.even_after
    low, expected, high = map(display.days, (even.low, even.expected, even.high))
    days = expected if low == high else f"{expected} ({low.removesuffix(' d')} to {high})"
    yield "even after", f"{days} at {display.temperature(planned.cave)}, within a tenth of the mean"
    active = planned.water_activity
    yield (
        "water activity",
        f"about {active.expected:.2f} ({active.low:.2f} to {active.high:.2f}) once even (Marcos "
        f"1981, above {MOIST:g} % moisture): information, no proof that it is safe",
    )
    yield "rests on", _basis(planned, display)


def _lies(planned: Planned, display: Display) -> Rows:
    lies = planned.floating
    if lies is None:
        return
    both = f"paste {lies.paste:.3f}, brine {lies.brine:.3f} g/cm3"
    if not planned.afloat:
        yield "lies", f"all under; {both}"
        return
    above = display.length(lies.above)
    if isinstance(planned.asked.shape, Sphere):
        yield "floats", f"{above} out, {100 * lies.dry:.0f} % of its surface; {both}"
    else:
        whole = display.length(planned.asked.shape.height)
        yield "floats", f"{above} of {whole} out; {both}"


def aim_words(asked: Asked) -> str:
    """What it shall have at the lift."""
    if asked.target is not None:
        return f"{target_words(asked.target)} at the lift"
    return f"{target_words(asked.aim())} at the lift, {once_aged(asked.style)}"


def target_words(target: Target) -> str:
    """A target and what it is counted by."""
    basis = "of its moisture (S/M)" if target.basis is Basis.MOISTURE else "of its weight"
    return f"{target.value:.3g} % {basis}"


def once_aged(style: Style) -> str:
    """What a style's aim at the lift comes from."""
    return f"for {style.salt.value:g} % once it has lost {style.loss.value:g} % in ageing"


def _basis(planned: Planned, display: Display) -> str:
    rate, spread = planned.rate, planned.diffusivity
    moist = planned.asked.style.moisture.value
    warm = "" if planned.asked.wheel_temperature is not None else ", a wheel as warm as the place"
    return (
        f"a diffusivity of {spread.value:.2g} cm2/day at {display.temperature(REFERENCE)}, "
        f"a {rate_words(rate)} on it, partition {planned.asked.partition:g}, "
        f"moisture {moist:g} %{warm}"
        + ("; ranges hold nine wheels in ten" if rate.low < rate.high else "")
    )


def rate_words(rate: Rate) -> str:
    """What a plan rests on above all, with its range."""
    banded = f" ({rate.low:.2g} to {rate.high:.2g})" if rate.low < rate.high else ""
    return f"rate factor of {rate.value:.2g}{banded}{f' {rate.origin}' if rate.origin else ''}"
