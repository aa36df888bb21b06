"""Mixing brine: how much of each thing goes in, by exact balances of mass."""

from dataclasses import dataclass

from cavewatch.core.brine.acid import Acid
from cavewatch.core.brine.calcium import CalciumSource
from cavewatch.core.brine.density import density, with_calcium
from cavewatch.core.brine.strength import STRONGEST
from cavewatch.core.errors import CavewatchError, within

WHAT_TO_TAKE = (
    "take food-grade salt and water without chlorine (from memory); your local code and licensed "
    "advice come before this"
)


@dataclass(frozen=True, slots=True)
class Recipe:
    """What goes into a brine."""

    water: float
    """Water [g], without the water that the products bring."""
    salt: float
    """Salt [g]."""
    calcium: float
    """Calcium product [g]."""
    acid: float
    """Acid product [g]."""
    mass: float
    """All together [g]."""
    strength: float
    """Salt in the finished brine [% w/w]."""


def mix(
    water: float,
    strength: float,
    calcium: CalciumSource | None = None,
    calcium_percent: float = 0.0,
    acid: Acid | None = None,
    acid_per_kg: float = 0.0,
) -> Recipe:
    """The brine of this strength that `water` [g] makes.

    Args:
        water: water at hand [g].
        strength: wanted strength of the finished brine [% w/w].
        calcium: the calcium product, if any.
        calcium_percent: wanted CaCl2 in the finished brine, anhydrous [% w/w].
        acid: the acid product, if any.
        acid_per_kg: acid product per kg of water [g]; see `cavewatch.core.brine.acid.dose`.
    """
    within("water", water, 1.0, 1e9, "g")
    part = _water_part(strength, calcium, calcium_percent, acid, acid_per_kg)
    salt = water / part * strength / 100.0
    product = water / part * _product_part(calcium, calcium_percent)
    sour = water * acid_per_kg / 1000.0
    mass = water + salt + product + sour
    return Recipe(water, salt, product, sour, mass, 100.0 * salt / mass)


def from_volume(
    litres_of_brine: float,
    strength: float,
    temperature: float,
    calcium: CalciumSource | None = None,
    calcium_percent: float = 0.0,
    acid: Acid | None = None,
    acid_per_kg: float = 0.0,
) -> Recipe:
    """The recipe that gives this much finished brine [L] at `temperature` [degC].

    Acid counts as water in its volume. The other arguments are those of `mix`.
    """
    within("volume of brine", litres_of_brine, 0.01, 1e6, "L")
    plain = density(strength, temperature)
    mass = litres_of_brine * with_calcium(plain, calcium_percent, temperature)
    part = _water_part(strength, calcium, calcium_percent, acid, acid_per_kg)
    return mix(mass * part, strength, calcium, calcium_percent, acid, acid_per_kg)


def litres(recipe: Recipe, temperature: float, calcium_percent: float = 0.0) -> float:
    """Volume of the finished brine [L] at `temperature` [degC]; acid counts as water in it."""
    plain = density(recipe.strength, temperature)
    return recipe.mass / with_calcium(plain, calcium_percent, temperature)


def _product_part(calcium: CalciumSource | None, percent: float) -> float:
    """Calcium product in the finished brine [g/g]."""
    within("calcium chloride in the brine", percent, 0.0, 5.0, "% w/w")
    if calcium is None:
        if percent:
            raise CavewatchError(
                f"{percent:g} % calcium chloride is asked for but not as what; "
                "name the product, such as 'dihydrate' or '33 % solution'"
            )
        return 0.0
    return percent / calcium.content


def _water_part(
    strength: float,
    calcium: CalciumSource | None,
    calcium_percent: float,
    acid: Acid | None,
    acid_per_kg: float,
) -> float:
    """Water put in, as a part of the finished brine [g/g]."""
    within("strength", strength, 0.0, STRONGEST, "% w/w")
    within("acid per kg of water", acid_per_kg, 0.0, 500.0, "g")
    if acid is None and acid_per_kg:
        raise CavewatchError(
            f"{acid_per_kg:g} g of acid per kg of water is asked for but not which; "
            "name the product, such as 'vinegar 5 %'"
        )
    rest = 1.0 - strength / 100.0 - _product_part(calcium, calcium_percent)
    if calcium is not None and rest <= 0.0:
        raise CavewatchError(
            f"{calcium.name} is too thin to bring {calcium_percent:g} % calcium chloride into "
            f"brine of {strength:g} % salt; use a stronger product"
        )
    return rest / (1.0 + acid_per_kg / 1000.0)
