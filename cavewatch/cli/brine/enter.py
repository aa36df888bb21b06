"""`cavewatch brine measured` and `tended`: what was found in a tub, and what was done to it."""

from pathlib import Path

import click

from cavewatch import units
from cavewatch.cli.brine.wording import as_typed
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.entering import enter, entry, place_named
from cavewatch.core import journal
from cavewatch.core.brine.calcium import CALCIUM_CAUTION
from cavewatch.core.brine.defects import CLEANING
from cavewatch.core.dairy import Dairy
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Act, BrineWork, Clarity
from cavewatch.core.place import PlaceKind

WORKS = {work.value.replace(" ", "-"): work for work in BrineWork}
"""What was done, by the word that is typed."""


def tub_named(desk: StoreDesk, name: str) -> str:
    """The tub of this name; raise CavewatchError if it is not there or no tub."""
    found = place_named(desk, name)
    tubs = [place.name for place in desk.places if place.kind is PlaceKind.TUB]
    if found not in tubs:
        known = f"; write one of {', '.join(tubs)}" if tubs else ", and the config has none"
        raise CavewatchError(f"{found} is no tub{known}")
    return found


@click.command()
@click.argument("tub")
@click.argument("strength", required=False)
@click.option("--ph", help="By a meter or a strip: 5.2.")
@click.option("--calcium", help="Calcium chloride in the brine: '0.1 %'.")
@click.option("--clarity", type=click.Choice([each.value for each in Clarity]))
@click.option("--temperature", help="Of the brine: '12 degC', '54 degF'.")
@click.option("--volume", help="Brine in the tub: '60 L', '16 gal'.")
@entry
@click.pass_obj
def measured(
    config_path: Path | None,
    tub: str,
    strength: str | None,
    ph: str | None,
    calcium: str | None,
    clarity: str | None,
    temperature: str | None,
    volume: str | None,
    at: str,
    by: str | None,
) -> None:
    """The STRENGTH of the brine in TUB: '20 %', '2.25 lb/gal', '20 Be', '80 salometer'.

    lb/gal is salt per US gallon of water; % is g of salt per 100 g of brine.
    With any of the options, STRENGTH may be left out.
    """
    if not any(each is not None for each in (strength, ph, calcium, clarity, temperature, volume)):
        raise CavewatchError("nothing was measured; write a strength such as '20 %', or an option")

    def act(desk: StoreDesk, _: Dairy) -> Act:
        return journal.BrineMeasured(
            tub_named(desk, tub),
            strength=units.strength(strength) if strength else None,
            ph=units.ph(ph) if ph else None,
            calcium=units.part(calcium, 5.0) if calcium else None,
            temperature=units.brine_temperature(temperature) if temperature else None,
            clarity=Clarity(clarity) if clarity else None,
            litres=units.volume(volume) if volume else None,
        )

    enter(config_path, act, at, by)
    _echo(strength)


def _echo(strength: str | None) -> None:
    """Say what was understood: a strength has many bases."""
    if strength:
        click.echo(f"  {as_typed(strength, units.strength(strength))}")


@click.command()
@click.argument("tub")
@click.argument("work", type=click.Choice(list(WORKS)))
@click.option("--salt", help="Put in: '650 g', '1.5 lb'.")
@click.option("--water", help="Put in: '2 L', '0.5 gal', '2 kg'.")
@click.option("--draw-off", "drawn", help="Brine taken out before: '5 kg', '11 lb'.")
@click.option("--calcium", help="Calcium chloride put in, as the product weighs: '60 g'.")
@click.option("--volume", help="Of freshly mixed brine: '60 L', '16 gal'.")
@click.option("--strength", help="Of freshly mixed brine: '20 %', '19 Be'.")
@entry
@click.pass_obj
def tended(
    config_path: Path | None,
    tub: str,
    work: str,
    salt: str | None,
    water: str | None,
    drawn: str | None,
    calcium: str | None,
    volume: str | None,
    strength: str | None,
    at: str,
    by: str | None,
) -> None:
    """WORK done on TUB: mixed, restored, filtered, heated, cleaned, drawn-off or skimmed.

    'mixed' begins a new life; say how strong and how much, or salt and water.
    What is put in or drawn off moves the strength that countdowns go by.
    """
    done = WORKS[work]
    if done is not BrineWork.MIXED and (volume or strength):
        raise CavewatchError(
            f"--volume and --strength go with 'mixed'; what was found after it was {done} is "
            "entered with 'cavewatch brine measured'"
        )
    if done is BrineWork.MIXED and not strength and not (salt and water):
        raise CavewatchError("say how strong it is: --strength '20 %', or --salt and --water")

    def act(desk: StoreDesk, _: Dairy) -> Act:
        return journal.Tended(
            tub_named(desk, tub),
            done,
            salt=units.mass(salt) if salt else 0.0,
            water=units.water(water) if water else 0.0,
            drawn_off=units.mass(drawn) if drawn else 0.0,
            calcium=units.mass(calcium) if calcium else 0.0,
            litres=units.volume(volume) if volume else None,
            strength=units.strength(strength) if strength else None,
        )

    enter(config_path, act, at, by)
    _echo(strength)
    if done is BrineWork.CLEANED:
        click.echo(f"  caution: {CLEANING}")
    if calcium:
        click.echo(f"  caution: {CALCIUM_CAUTION}")
