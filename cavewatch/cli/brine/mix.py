"""`cavewatch brine mix`: salt, calcium and acid for so much water, or for so much brine."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from cavewatch import units
from cavewatch.cli.brine.acid import AcidWanted, acid_cautions, acid_wanted, acid_words
from cavewatch.cli.brine.calcium import CalciumWanted, calcium_wanted, calcium_words
from cavewatch.cli.brine.wording import (
    as_typed,
    display_for,
    plain_span,
    rounded,
    say,
    say_notes,
)
from cavewatch.core.brine import mixing
from cavewatch.core.brine.calcium import CALCIUM_CAUTION
from cavewatch.core.brine.hydrometer import Hydrometer, Scale, shows
from cavewatch.core.brine.mixing import WHAT_TO_TAKE, Recipe
from cavewatch.core.brine.scales import LITRE_OF_WATER
from cavewatch.core.brine.strength import (
    SIXTY_F,
    in_water,
    saturation,
    share_of_saturation,
)
from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError, OutOfRangeError
from cavewatch.units import Display

CALLED_SATURATED = (18.0, 24.0)
"""Between these strengths [% w/w] people who follow '2.25 lb per gallon' may be led astray."""


@dataclass(frozen=True, slots=True)
class _Mixed:
    """A recipe with what it was asked for."""

    to: str
    temperature: float
    recipe: Recipe
    calcium: CalciumWanted | None
    acid: AcidWanted | None

    @property
    def calcium_percent(self) -> float:
        """Calcium chloride in the brine [% w/w]."""
        return self.calcium.percent if self.calcium else 0.0

    @property
    def acid_grams(self) -> Span | None:
        """Acid product to put in [g]."""
        return self.acid.grams(self.recipe.water) if self.acid else None

    @property
    def litres(self) -> float:
        """Of the finished brine [L]."""
        return mixing.litres(self.recipe, self.temperature, self.calcium_percent)

    @property
    def share_of_saturation(self) -> float:
        """Salt in its water over what dissolves in it [%]."""
        beside_calcium = self.recipe.strength / (1.0 - self.calcium_percent / 100.0)
        return share_of_saturation(beside_calcium, self.temperature)

    @property
    def notes(self) -> tuple[str, ...]:
        """What to mind, only where it applies."""
        return (
            *(acid_cautions(self.acid) if self.acid else ()),
            *((CALCIUM_CAUTION,) if self.calcium else ()),
            WHAT_TO_TAKE,
        )


@click.command()
@click.option("--water", help="Water at hand: '20 L', '5 gal', '20 kg'.")
@click.option("--volume", help="Brine wanted, instead of --water: '25 L', '6 gal'.")
@click.option("--to", required=True, help="'20 %', '2.25 lb/gal', '19 Be', '1.15 SG', 'saturated'.")
@click.option("--temperature", default="20 degC", show_default=True, help="While it is measured.")
@click.option("--calcium", help="Calcium chloride (CaCl2) in the brine: '0.1 %'.")
@click.option("--calcium-as", help="'dihydrate', 'anhydrous' or '33 % solution', as on the packet.")
@click.option("--acid", "sour", help="'vinegar 5 %' or 'lactic 88 %'.")
@click.option("--ph", help="Wanted, with --acid: 5.2, or as the cheese has it.")
@click.option("--alkalinity", help="Of the water: '2.5 mmol/L', '125 mg/L CaCO3', '7 dKH'.")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON, in g, L, % and degC.")
@click.pass_obj
def mix(
    config_path: Path | None,
    water: str | None,
    volume: str | None,
    to: str,
    temperature: str,
    calcium: str | None,
    calcium_as: str | None,
    sour: str | None,
    ph: str | None,
    alkalinity: str | None,
    as_json: bool,
) -> None:
    """Salt, calcium and acid for fresh brine of the strength --to.

    % is g of salt in 100 g of brine; lb/gal is salt per US gallon of water.
    """
    display = display_for(config_path, water, volume, to, temperature)
    warm = units.temperature(temperature)
    wanted = calcium_wanted(calcium, calcium_as)
    source, part = (wanted.source, wanted.percent) if wanted else (None, 0.0)
    strength = units.strength_at(to, warm, part)
    souring = acid_wanted(sour, ph, alkalinity)
    acid, per_kg = (souring.acid, souring.grams(1000.0).expected) if souring else (None, 0.0)
    if water is not None and volume is None:
        recipe = mixing.mix(units.water(water), strength, source, part, acid, per_kg)
    elif volume is not None and water is None:
        litres = units.volume(volume)
        recipe = mixing.from_volume(litres, strength, warm, source, part, acid, per_kg)
    else:
        raise CavewatchError("say how much: --water '20 L' or --volume '25 L', one of the two")
    mixed = _Mixed(to, warm, recipe, wanted, souring)
    if as_json:
        click.echo(json.dumps(rounded(_plain(mixed)), indent=2))
    else:
        _say(mixed, display)


def _readings(mixed: _Mixed) -> dict[Scale, float]:
    """What hydrometers made for 60 degF should show; a scale that ends below is left out."""
    found = {}
    for scale in _DECIMALS:
        try:
            instrument = Hydrometer(scale, SIXTY_F, None)
            found[scale] = shows(
                instrument, mixed.recipe.strength, mixed.temperature, mixed.calcium_percent
            )
        except OutOfRangeError:
            continue
    return found


def _saturating(mixed: _Mixed) -> float:
    """Salt that this water takes until no more dissolves [g]."""
    return mixed.recipe.water * in_water(saturation(mixed.temperature)) / 100.0


def _say(mixed: _Mixed, display: Display) -> None:
    recipe = mixed.recipe
    click.echo(f"Brine: {as_typed(mixed.to, recipe.strength)}")
    say(_rows(mixed, display))
    if CALLED_SATURATED[0] <= recipe.strength <= CALLED_SATURATED[1]:
        click.echo(
            "  About 2.25 lb per gallon of water is often called 'saturated' (common practice, no "
            "source): it is 21 % by weight and four fifths of saturation. Saturated at "
            f"{display.temperature(mixed.temperature)} takes "
            f"{display.to_weigh(_saturating(mixed))} of salt for this water."
        )
    say_notes("caution", mixed.notes)


def _rows(mixed: _Mixed, display: Display) -> Iterator[tuple[str, str]]:
    recipe, warm = mixed.recipe, display.temperature(mixed.temperature)
    volume = display.to_measure(recipe.water / LITRE_OF_WATER)
    yield "water", f"{volume} ({display.to_weigh(recipe.water)})"
    yield "salt", display.to_weigh(recipe.salt)
    if mixed.calcium:
        yield "calcium", calcium_words(recipe.calcium, mixed.calcium, display)
    if mixed.acid and mixed.acid_grams:
        yield "acid", acid_words(mixed.acid_grams, mixed.acid, display)
    litres = display.to_measure(mixed.litres)
    yield "makes", f"{litres} ({display.to_weigh(recipe.mass)}) of brine"
    yield "saturation", f"{mixed.share_of_saturation:.0f} % of what dissolves at {warm}"
    shown = " · ".join(_reading(scale, value) for scale, value in _readings(mixed).items())
    counted = ", calcium counted" if mixed.calcium else ""
    yield "hydrometer", f"should show {shown} at {warm} if made for 60 °F{counted}"


def _reading(scale: Scale, value: float) -> str:
    return f"{value:.{_DECIMALS[scale]}f} {scale}"


_DECIMALS = {Scale.SG: 3, Scale.BAUME: 1, Scale.SALOMETER: 0}


def _plain(mixed: _Mixed) -> dict[str, Any]:
    recipe = mixed.recipe
    shown = _readings(mixed)
    return {
        "to": mixed.to,
        "temperature_c": mixed.temperature,
        "strength_percent": recipe.strength,
        "share_of_saturation_percent": mixed.share_of_saturation,
        "water_g": recipe.water,
        "salt_g": recipe.salt,
        "salt_to_saturate_g": _saturating(mixed),
        "calcium_as": mixed.calcium.source.name if mixed.calcium else None,
        "calcium_percent": mixed.calcium_percent,
        "calcium_g": recipe.calcium,
        "acid_as": mixed.acid.acid.name if mixed.acid else None,
        "ph": mixed.acid.ph if mixed.acid else None,
        "acid_g": plain_span(mixed.acid_grams) if mixed.acid_grams else None,
        "brine_g": recipe.mass,
        "brine_l": mixed.litres,
        "hydrometer_for_60f": {
            "sg": shown.get(Scale.SG),
            "baume": shown.get(Scale.BAUME),
            "salometer": shown.get(Scale.SALOMETER),
        },
        "cautions": list(mixed.notes),
    }
