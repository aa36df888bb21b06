"""`cavewatch salt`: how much salt, which method, how long, for a wheel still to be made."""

import json
from pathlib import Path
from typing import Any

import click

from cavewatch import clock, units
from cavewatch.cli.live import config_of
from cavewatch.config import default_path
from cavewatch.core.countdown import Countdown, Span
from cavewatch.core.errors import CavewatchError
from cavewatch.core.salting.clock import REFERENCE, WarmthRecord
from cavewatch.core.salting.countdowns import countdown
from cavewatch.core.salting.milled import milled_dose
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.style import Method, Style
from cavewatch.core.wheel import Event, Happening, Standing, Wheel
from cavewatch.styles import load
from cavewatch.units import Display

HOUR = 3600.0
METHODS = [method.value for method in Method]


@click.command()
@click.argument("style_id", metavar="STYLE")
@click.option("--weight", help="Of one wheel, or of the milled curd: '5 lb', '2.3 kg'.")
@click.option("--size", help="'7 in x 3 in', '20 x 10 x 8 cm', 'ball 12 cm'; otherwise as usual.")
@click.option(
    "--method",
    type=click.Choice(METHODS),
    help="Otherwise the style's usual one.",
)
@click.option("--strength", help="Of the brine: '20 %', '2.25 lb/gal'; otherwise the style's.")
@click.option("--temperature", help="'12 degC', '54 degF'; otherwise 12 degC.")
@click.option("--held-under", is_flag=True, help="In brine: held under rather than floating.")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON, in hours, g and %.")
@click.pass_obj
def salt(
    config_path: Path | None,
    style_id: str,
    weight: str | None,
    size: str | None,
    method: str | None,
    strength: str | None,
    temperature: str | None,
    held_under: bool,
    as_json: bool,
) -> None:
    """Plan the salting of a STYLE: what to do when, with its range."""
    config = config_of(config_path) if config_path or default_path().exists() else None
    book = config.styles if config else load()
    if style_id not in book:
        raise CavewatchError(
            f"there is no style '{style_id}'; write one of {', '.join(sorted(book))}"
        )
    style = book[style_id]
    display = Display(config.units) if config else Display()
    how = Method(method) if method else style.methods[0]
    grams = units.mass(weight) if weight else style.weight.value
    if how is Method.MILLED:
        dose = milled_dose(style, grams)
        if as_json:
            click.echo(json.dumps({"style": style.id, "method": how, "dose_g": _span(dose)}))
        else:
            about = f"{display.dose(dose)} of salt (say {display.mass(dose.expected)})"
            aim = f"{style.salt.value:g} % in the cheese"
            click.echo(f"{style.name}: mill {about} into {display.mass(grams)} of curd for {aim}")
        return
    warm = units.temperature(temperature) if temperature else REFERENCE
    strong = units.strength(strength) if strength else _usual_strength(style)
    plan = _plan(style, how, grams, size, strong, warm, not held_under)
    if as_json:
        click.echo(json.dumps(_plain(style, how, grams, plan), indent=2))
        return
    medium = f"brine of {strong:.1f} % w/w" if how is Method.BRINE else "dry salt"
    click.echo(f"{style.name}, {display.mass(grams)}, {medium} at {display.temperature(warm)}")
    for step in plan.steps:
        words = f"  {_hours(step.at)}: {step.action}"
        if step.grams is not None:
            words += f", {display.dose(step.grams)} of salt"
        click.echo(words)
    target = plan.target
    click.echo(
        f"  for {target.expected:g} % salt in the cheese ({target.low:g} to {target.high:g} %)"
    )
    click.echo(f"  rests on {plan.reason}")
    if plan.caution:
        click.echo(f"  caution: {plan.caution}")


def _usual_strength(style: Style) -> float:
    return 20.0 if style.brine is None else style.brine.strength.value


def _plan(
    style: Style,
    method: Method,
    grams: float,
    size: str | None,
    strength: float,
    temperature: float,
    floats: bool,
) -> Countdown:
    """The countdown of a wheel that goes to salt at the instant 0."""
    warmth = WarmthRecord([0.0], [temperature])
    brined = method is Method.BRINE
    wheel = Wheel(
        id=0,
        make=0,
        lot="",
        style=style,
        method=method,
        weight=grams,
        shape=units.shape(size) if size else style.proportions.sized(grams / style.density.value),
        made_at=0.0,
        floats=floats,
        place="",
        since=0.0,
        standing=Standing.IN_BRINE if brined else Standing.IN_DRY_SALT,
        salted_out_at=None,
        history=(Happening(0.0, Event.IN, ""),),
        basis=0,
    )
    strengths = ((0.0, strength),) if brined else ()
    return countdown(wheel, {"": Surroundings(warmth, strengths)}, 0.0)


def _hours(at: Span) -> str:
    if at.expected == 0:
        return "at once"
    low, expected, high = (clock.duration(_rounded(end)) for end in (at.low, at.expected, at.high))
    return f"after {expected}" + ("" if low == high else f" ({low} to {high})")


def _rounded(seconds: float) -> float:
    """To five minutes: the model knows no better, and nobody acts to the second."""
    return round(seconds / 300.0) * 300.0


def _span(span: Span, unit: float = 1.0) -> dict[str, float]:
    return {"low": span.low / unit, "expected": span.expected / unit, "high": span.high / unit}


def _plain(style: Style, method: Method, grams: float, plan: Countdown) -> dict[str, Any]:
    return {
        "style": style.id,
        "method": method,
        "weight_g": grams,
        "target_percent": _span(plan.target),
        "steps": [
            {
                "action": step.action,
                "hours": _span(step.at, HOUR),
                "grams": None if step.grams is None else _span(step.grams),
            }
            for step in plan.steps
        ],
        "reason": plan.reason,
        "caution": plan.caution,
    }
