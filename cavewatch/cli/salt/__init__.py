"""`cavewatch salt`: how much salt, which method, how long, for cheese still to be salted."""

import json
from pathlib import Path
from typing import Any

import click

from cavewatch import clock
from cavewatch.cli.brine.wording import display_for, rounded
from cavewatch.cli.live import Live, config_of
from cavewatch.cli.salt.compared import compared, say_compared
from cavewatch.cli.salt.curd import say_milled
from cavewatch.cli.salt.plain import plain, plain_milled
from cavewatch.cli.salt.timetable import Times, scheduled
from cavewatch.cli.salt.typed import (
    Typed,
    asked_of,
    method_of,
    milled_asked,
    style_of,
)
from cavewatch.cli.salt.wording import say_plan
from cavewatch.config import default_path
from cavewatch.core.errors import CavewatchError
from cavewatch.core.salting.guesses import Rate
from cavewatch.core.salting.milled import milled
from cavewatch.core.salting.planning import plan
from cavewatch.core.salting.teaspoons import GRAINS
from cavewatch.core.style import Method, Style
from cavewatch.recorder.solver import Solver
from cavewatch.styles import load

METHODS = [method.value for method in Method]


@click.command()
@click.option("--style", help="Of the style book: 'gouda'. Without it, say --target or --for.")
@click.option("--weight", help="Of one wheel, or of the milled curd: '5 lb', '2.3 kg'.")
@click.option("--size", help="'7 in x 3 in', '20 x 10 x 8 cm', 'ball 12 cm'; otherwise as usual.")
@click.option("--method", type=click.Choice(METHODS), help="Otherwise the style's usual one.")
@click.option("--moisture", help="Of the cheese as it goes to salt: '43 %'.")
@click.option(
    "--brine", help="'20 %', '2.25 lb/gal', '19 Be', '80 salometer', '1.15 SG at 12 degC'."
)
@click.option(
    "--tub", help="Brine in it: '20 L', '5 gal'; otherwise so much that it stays as it is."
)
@click.option("--wheels", type=int, help="How many share the tub.")
@click.option("--temperature", help="Of the brine or the room: '12 degC', '54 degF'; else 12 degC.")
@click.option("--wheel-temperature", help="Of the wheel as it goes in; otherwise as the brine.")
@click.option("--target", help="At the lift: '1.8 %' of the cheese, '4.5 % S/M' of its moisture.")
@click.option("--for", "hold", help="The other way round: what does '12 h' give?")
@click.option("--floating/--submerged", default=None, help="In brine; it floats unless held under.")
@click.option(
    "--bare-top", is_flag=True, default=None, help="The face that stands out is left unsalted."
)
@click.option("--diffusivity", help="Of salt at that temperature: '0.2 cm2/day', '2.3e-10 m2/s'.")
@click.option("--partition", type=float, help="Salt just inside over salt outside, by water.")
@click.option("--rate-factor", type=float, help="On the diffusivity while salt goes in.")
@click.option("--coats", type=int, help="Of dry salt.")
@click.option(
    "--front-loaded", is_flag=True, default=None, help="More dry salt in the first coats."
)
@click.option("--retention", help="Part of dry or milled salt that stays: '65 %'.")
@click.option("--applications", type=int, help="Of salt on milled curd: 1 to 3.")
@click.option(
    "--grain",
    type=click.Choice(list(GRAINS)),
    default="coarse",
    show_default=True,
    help="Of the salt, for teaspoons.",
)
@click.option("--in-at", help="When it goes in: '16:30', 'tomorrow 07:00', 'Fri 07:00'.")
@click.option(
    "--out-by", help="When it must be out, as 'Fri 07:00'; without --in-at, plans backwards."
)
@click.option("--awake", help="When somebody is up: '06:00-22:00'; turns and lift fall there.")
@click.option("--compare", help="Side by side: '18 %, 20 %, 22 %' or '12 h, 24 h'.")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON, units in the names.")
@click.pass_obj
def salt(config_path: Path | None, /, as_json: bool, **options: Any) -> None:
    """Plan the salting of a cheese: what to do when, and what comes of it, with its range."""
    typed = Typed(**options)
    config = config_of(config_path) if config_path or default_path().exists() else None
    style = style_of(typed, config.styles if config else load())
    method = method_of(typed, style)
    display = display_for(config_path, *typed.texts)
    grain = GRAINS[typed.grain]
    on_clock = typed.in_at or typed.out_by or typed.awake
    learned = None
    if config is not None and typed.style is not None and config.store_path.exists():
        learned = _learned(Live.of(config), style)
    found: Any
    if method is Method.MILLED:
        curd = milled_asked(typed, style)
        made = milled(curd)
        found = plain_milled(curd, made, grain)
        if not as_json:
            say_milled(curd, made, display, grain)
    elif typed.compare is not None:
        if on_clock:
            raise CavewatchError("--compare goes without --in-at, --out-by and --awake")
        each = compared(typed, method)
        plans = [plan(asked_of(one, style, method, learned)) for one in each]
        found = {"plans": [plain(one, grain) for one in plans]}
        if not as_json:
            say_compared(plans, [str(one.hold or one.brine) for one in each], display)
    elif on_clock:
        zone = clock.zone(config.zone) if config else clock.machine_zone()
        now = clock.now()
        times = Times.of(typed.in_at, typed.out_by, typed.awake, zone, now)
        timetable = scheduled(asked_of(typed, style, method, learned), times, zone, now)
        found = plain(timetable.planned, grain, timetable)
        if not as_json:
            say_plan(timetable.planned, display, grain, timetable)
    else:
        planned = plan(asked_of(typed, style, method, learned))
        found = plain(planned, grain)
        if not as_json:
            say_plan(planned, display, grain)
    if as_json:
        click.echo(json.dumps(rounded(found, 9), indent=2))


def _learned(live: Live, style: Style) -> Rate | None:
    """What the wheels in the journal teach of a style's rate."""
    try:
        dairy, entries = live.desk().picture(), live.store.entries()
        return Solver(live.store, live.config.styles).rates(dairy, entries).get(style.id)
    finally:
        live.store.close()
