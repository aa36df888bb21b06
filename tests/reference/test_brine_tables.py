"""Brine against handbook tables and other libraries.

The rows, each table with its source, are in brine_tables.json. CoolProp's MNA fluid
(Melinder) is valid to 23 % and 40 degC, its MCA fluid to 30 % of calcium chloride.
Every test says the agreement reached.
"""

import json
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from CoolProp.CoolProp import PropsSI

from cavewatch.core.brine import hydrometer, refractometer
from cavewatch.core.brine.density import density, strength_of, water, with_calcium, without_calcium
from cavewatch.core.brine.hydrometer import Hydrometer, Scale
from cavewatch.core.brine.properties import EUTECTIC, freezing_point, water_activity
from cavewatch.core.brine.scales import (
    GALLON_OF_WATER,
    from_baume,
    from_pounds_per_gallon,
    from_salometer,
    to_baume,
    to_grams_per_litre,
    to_pounds_per_gallon,
    to_sg,
)
from cavewatch.core.brine.strength import SIXTY_F, STRONGEST, from_mass_ratio, in_water, saturation

TABLES = json.loads((Path(__file__).parent / "brine_tables.json").read_text("utf-8"))


def rows(table: str) -> list[list[float]]:
    return TABLES[table]["rows"]


def coolprop(fluid: str, percent: float, temperature: float) -> float:
    """Density [kg/m3]."""
    return PropsSI("D", "T", temperature + 273.15, "P", 101325, f"INCOMP::{fluid}[{percent / 100}]")


def test_every_table_names_its_source_and_fills_its_columns() -> None:
    for table in TABLES.values():
        assert len(table["source"]) > 10
        assert {len(row) for row in table["rows"]} == {len(table["columns"])}


@pytest.mark.parametrize("temperature", [0.1, 4.0, 10.0, 20.0, 30.0, 40.0, 60.0])
def test_water_is_as_dense_as_coolprop_says(temperature: float) -> None:
    # Reached: 0.004 kg/m3.
    expected = PropsSI("D", "T", temperature + 273.15, "P", 101325, "Water")
    assert water(temperature) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(("strength", "temperature", "expected"), rows("density"))
def test_density_agrees_with_rogers_and_pitzer(
    strength: float, temperature: float, expected: float
) -> None:
    # Reached: -0.9 to +0.7 kg/m3 at 0 degC, -0.5 to +0.4 from 10 degC up (0.5 is 0.06 % salt).
    assert density(strength, temperature) == pytest.approx(
        expected, abs=1.0 if temperature < 10.0 else 0.5
    )


@pytest.mark.parametrize(("strength", "expected"), rows("density_at_20"))
def test_density_at_20_degrees_agrees_with_a_second_table(strength: float, expected: float) -> None:
    # Reached: -0.2 to +0.4 kg/m3 up to 24 %, -0.7 at 26 %.
    assert density(strength, 20.0) == pytest.approx(expected, abs=0.5 if strength <= 24 else 0.8)


@pytest.mark.parametrize("temperature", [10.0, 12.0, 15.0, 20.0, 25.0])
@pytest.mark.parametrize("strength", [0.0, 5.0, 10.0, 15.0, 18.0, 20.0, 22.0, 23.0])
def test_density_agrees_with_coolprop(strength: float, temperature: float) -> None:
    # Reached: -0.3 to +0.6 kg/m3 (0.6 kg/m3 is 0.08 % of salt).
    assert density(strength, temperature) == pytest.approx(
        coolprop("MNA", strength, temperature), abs=0.7
    )


@pytest.mark.parametrize(
    ("strength", "calcium", "temperature", "mixed"), rows("density_with_calcium")
)
def test_calcium_is_taken_out_of_the_density(
    strength: float, calcium: float, temperature: float, mixed: float
) -> None:
    # Reached: -6.1 % of calcium's part in brine of 10 %, -1.2 to +2.7 % at 20 and 24 %; plain
    # brine 0.13 kg/m3.
    part = mixed - density(strength, temperature)
    allowed = 0.08 * part + 0.2
    assert with_calcium(density(strength, temperature), calcium, temperature) == pytest.approx(
        mixed, abs=allowed
    )
    assert without_calcium(mixed, calcium, temperature) == pytest.approx(
        density(strength, temperature), abs=allowed
    )


@pytest.mark.parametrize("temperature", [10.0, 20.0, 30.0])
@pytest.mark.parametrize("calcium", [0.1, 0.5, 1.0, 2.0])
def test_calcium_in_water_agrees_with_coolprop_within_an_eighth(
    calcium: float, temperature: float
) -> None:
    # Calcium swells strong brine more than water, and the figure is for strong brine.
    # Reached: -10.6 to +0.8 % of CoolProp's slope.
    slope = coolprop("MCA", calcium, temperature) - coolprop("MCA", 0.0, temperature)
    ours = with_calcium(water(temperature), calcium, temperature) - water(temperature)
    assert ours == pytest.approx(slope, rel=0.12)


@pytest.mark.parametrize(("temperature", "percent", "per_water"), rows("solubility"))
def test_saturation_agrees_with_the_handbook(
    temperature: float, percent: float, per_water: float
) -> None:
    # Reached: 0.05 % absolute; the handbook's two columns agree with each other to 0.01 g.
    assert saturation(temperature) == pytest.approx(percent, abs=0.06)
    assert in_water(percent) == pytest.approx(per_water, abs=0.02)


@pytest.mark.parametrize(
    ("temperature", "percent"), [row for row in rows("solubility_salt_institute") if row[0] >= 0]
)
def test_saturation_agrees_with_the_salt_institute(temperature: float, percent: float) -> None:
    # Reached: 0.03 % absolute.
    assert saturation(temperature) == pytest.approx(percent, abs=0.035)


@pytest.mark.parametrize(("degrees", "modulus", "percent"), rows("baume"))
def test_degrees_baume_of_either_modulus(degrees: float, modulus: float, percent: float) -> None:
    # Reached: 0.06 %.
    assert from_baume(degrees, modulus) == pytest.approx(percent, abs=0.07)


@pytest.mark.parametrize(
    ("degrees", "percent", "sg", "baume", "per_litre", "per_gallon"), rows("salometer")
)
def test_salometer_table_on_every_scale(
    degrees: float, percent: float, sg: float, baume: float, per_litre: float, per_gallon: float
) -> None:
    # Reached: SG 0.0004, Be 0.05, 0.08 g/L, 0.003 lb per gallon (its water is at 60 degF: 0.1 %).
    assert from_salometer(degrees) == pytest.approx(percent)
    assert to_sg(percent) == pytest.approx(sg, abs=6e-4)
    assert to_baume(percent) == pytest.approx(baume, abs=0.07)
    assert to_grams_per_litre(percent, SIXTY_F) == pytest.approx(per_litre, abs=0.1)
    assert to_pounds_per_gallon(percent) == pytest.approx(per_gallon, abs=0.004)


@pytest.mark.parametrize(("percent", "sg"), rows("sg_at_15"))
def test_specific_gravity_at_15_degrees(percent: float, sg: float) -> None:
    # Reached: 0.0011; the table is printed to 0.001.
    assert to_sg(percent, 15.0) == pytest.approx(sg, abs=1.2e-3)


def test_two_and_a_quarter_pounds_per_gallon_is_not_saturated() -> None:
    # Common practice, no source, calls this saturated. A US gallon is 231 cubic
    # inches (3.785412 L), a pound 453.59237 g; water at 20 degC 998.2 g/L (CRC).
    strength = from_pounds_per_gallon(2.25)
    assert strength == pytest.approx(from_mass_ratio(2.25 * 453.59237, 3.785412 * 998.2))
    assert strength == pytest.approx(21.27, abs=0.01)
    assert strength / saturation(20.0) == pytest.approx(0.80, abs=0.01)


def test_the_gallon_holds_as_much_water_as_coolprop_says() -> None:
    # Reached: 1e-5.
    expected = PropsSI("D", "T", 293.15, "P", 101325, "Water")
    assert pytest.approx(expected, rel=2e-5) == GALLON_OF_WATER / 3.785411784


@pytest.mark.parametrize(("true", "temperature", "apparent"), rows("uncorrected_60f_hydrometer"))
@pytest.mark.parametrize("scale", Scale)
def test_a_60_degree_hydrometer_in_cold_and_warm_brine(
    true: float, temperature: float, apparent: float, scale: Scale
) -> None:
    # Reached: 0.07 % at 4 degC, 0.04 % from 10 degC up.
    instrument = Hydrometer(scale, SIXTY_F)
    reading = hydrometer.shows(instrument, true, temperature)
    at_its_own = hydrometer.read(instrument, reading, SIXTY_F).strength.expected
    assert at_its_own == pytest.approx(apparent, abs=0.08 if temperature < 10.0 else 0.05)


def freezing_points() -> Iterator[tuple[float, float, float]]:
    # Reached: 0.01 K of the handbook, 0.08 K of Lange's table.
    for strength, celsius in rows("freezing_point"):
        yield strength, celsius, 0.012
    for strength, celsius in rows("freezing_point_lange"):
        yield strength, celsius, 0.09
    yield EUTECTIC, -21.12, 0.012


@pytest.mark.parametrize(("strength", "celsius", "allowed"), freezing_points())
def test_freezing_points(strength: float, celsius: float, allowed: float) -> None:
    assert freezing_point(strength) == pytest.approx(celsius, abs=allowed)


@pytest.mark.parametrize("strength", [1, 5, 10, 15, 20, 22])
def test_freezing_points_agree_with_coolprop(strength: int) -> None:
    # Reached: 0.08 K, at 22 %.
    fluid = f"INCOMP::MNA[{strength / 100}]"
    expected = PropsSI("T_FREEZE", "T", 300.0, "P", 101325, fluid) - 273.15
    assert freezing_point(strength) == pytest.approx(expected, abs=0.1)


@pytest.mark.parametrize(("strength", "temperature", "activity"), rows("water_activity"))
def test_water_activity_agrees_with_phreeqc(
    strength: float, temperature: float, activity: float
) -> None:
    # Reached: -0.0017 (5 degC, 20 %) to +0.0002.
    assert water_activity(strength, temperature) == pytest.approx(activity, abs=0.002)


@pytest.mark.parametrize(("temperature", "humidity"), rows("humidity_over_saturated_salt"))
def test_saturated_brine_leaves_the_humidity_of_greenspan(
    temperature: float, humidity: float
) -> None:
    # Reached: -0.33 to +0.28 %RH; Greenspan's own uncertainty is 0.11 to 0.34.
    strength = min(saturation(temperature), STRONGEST)
    assert 100.0 * water_activity(strength, temperature) == pytest.approx(humidity, abs=0.35)


@pytest.mark.parametrize(("strength", "brix"), rows("brix"))
def test_a_sugar_refractometer_in_brine(strength: float, brix: float) -> None:
    # Reached: 0.04 Brix, 0.04 % of salt; the table is printed to 0.1 Brix.
    assert refractometer.shows(strength) == pytest.approx(brix, abs=0.06)
    assert refractometer.read(brix, 20.0).strength.expected == pytest.approx(strength, abs=0.06)


@pytest.mark.parametrize(("strength", "index"), rows("refractive_index"))
def test_brine_bends_light_as_much_as_the_sugar_it_shows(strength: float, index: float) -> None:
    # Reached: 0.07 Brix; the index is printed to 0.0001, which is 0.06 Brix.
    brix = next(
        low + (high - low) * (index - n_low) / (n_high - n_low)
        for (low, n_low), (high, n_high) in pairwise(rows("sucrose_refractive_index"))
        if n_low <= index < n_high
    )
    assert refractometer.shows(strength) == pytest.approx(brix, abs=0.09)


@pytest.mark.parametrize(("strength", "temperature", "expected"), rows("density"))
def test_strength_from_tabulated_density(
    strength: float, temperature: float, expected: float
) -> None:
    # Reached: 0.12 % at 0 degC, 0.06 % from 10 degC up.
    found = strength_of(max(expected, water(temperature)), temperature)
    assert found == pytest.approx(strength, abs=0.14 if temperature < 10.0 else 0.08)
