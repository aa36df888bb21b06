"""`cavewatch brine`: what is known of a tub's brine."""

from pathlib import Path

import click

from cavewatch import units
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.entering import enter, entry, place_named
from cavewatch.core import journal
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Act


@click.group()
def brine() -> None:
    """Enter what was measured of a tub's brine."""


@brine.command()
@click.argument("tub")
@click.argument("strength")
@entry
@click.pass_obj
def measured(config_path: Path | None, tub: str, strength: str, at: str, by: str | None) -> None:
    """The STRENGTH of the brine in TUB: '20 %', '2.25 lb/gal', '20 Be', '80 salometer'.

    lb/gal is salt per US gallon of water; % is g of salt per 100 g of brine.
    """

    def act(desk: StoreDesk, _: Dairy) -> Act:
        return journal.BrineMeasured(place_named(desk, tub), units.strength(strength))

    enter(config_path, act, at, by)
