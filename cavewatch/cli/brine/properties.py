"""`cavewatch brine properties`: everything that follows from strength and temperature."""

import dataclasses
import json
from collections.abc import Iterator
from pathlib import Path

import click

from cavewatch import units
from cavewatch.cli.brine.wording import as_typed, display_for, rounded, say
from cavewatch.core.brine import properties as known
from cavewatch.core.brine.properties import Properties
from cavewatch.core.brine.scales import to_pounds_per_gallon
from cavewatch.core.brine.strength import in_water
from cavewatch.units import Display


@click.command()
@click.option("--strength", required=True, help="'20 %', '2.25 lb/gal', '19 Be', '1.15 SG'.")
@click.option("--temperature", required=True, help="'12 degC', '54 degF'.")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON, units in the names.")
@click.pass_obj
def properties(config_path: Path | None, strength: str, temperature: str, as_json: bool) -> None:
    """One brine on every scale, with its density and freezing point."""
    warm = units.temperature(temperature)
    percent = units.strength_at(strength, warm)
    found = known.properties(percent, warm)
    if as_json:
        plain = {"temperature_c": warm, **dataclasses.asdict(found)}
        click.echo(json.dumps(rounded(plain), indent=2))
        return
    display = display_for(config_path, strength, temperature)
    click.echo(f"Brine: {as_typed(strength, percent)}, at {display.temperature(warm)}")
    say(_rows(found, display))


def _rows(found: Properties, display: Display) -> Iterator[tuple[str, str]]:
    per_water, per_gallon = (
        in_water(found.strength_percent),
        to_pounds_per_gallon(found.strength_percent),
    )
    yield (
        "saturation",
        f"{found.share_of_saturation_percent:.0f} % of what dissolves, "
        f"which is {found.saturation_percent:.1f} % by weight",
    )
    yield (
        "salt per water",
        f"{per_water:.1f} g in 100 g of water, {per_gallon:.2f} lb in a US gallon",
    )
    yield "salt per brine", f"{found.grams_per_litre:.0f} g in a litre of brine"
    yield "density", f"{found.density_kg_m3:.0f} kg/m3"
    yield "SG", f"{found.sg_60_60:.3f}, brine and water at 60 °F"
    yield "Baume", f"{found.baume:.1f}, at 60 °F, modulus 145"
    salometer = "above 100" if found.salometer is None else f"{found.salometer:.0f}"
    yield "salometer", f"{salometer}, at 60 °F"
    ice = found.freezing_point_c
    yield "freezes", "not before salt settles" if ice is None else f"at {display.temperature(ice)}"
    activity = found.water_activity
    yield "water activity", "not known above 40 °C" if activity is None else f"{activity:.3f}"
