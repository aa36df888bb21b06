"""Brine against handbook tables.

Densities: Rogers & Pitzer 1982 (J. Phys. Chem. Ref. Data 11:15), specific volumes
as reprinted in a handbook table, and CoolProp's MNA fluid (Melinder), which is
valid to 23 %. Solubility: CRC Handbook, 98th ed. Scales: the definitions at
60 degF (SG = 145 / (145 - Be); 100 degrees salometer = 26.395 %, Salt Institute).
"""

import pytest

from cavewatch.core.brine.strength import (
    SATURATED_AT_60F,
    SIXTY_F,
    density,
    from_baume,
    from_mass_ratio,
    from_salometer,
    saturation,
)

# Rogers & Pitzer: % w/w, degC, kg/m3.
TABLE = [
    (0.581, 0, 1004.29),
    (5.5216, 0, 1042.18),
    (10.4653, 0, 1080.58),
    (18.9477, 0, 1148.11),
]


@pytest.mark.parametrize(("strength", "temperature", "expected"), TABLE)
def test_density_near_freezing_is_within_one_of_the_table(
    strength: float, temperature: float, expected: float
) -> None:
    # Reached: -0.92 to +0.70 kg/m3 at 0 degC, 0.1 to 5 mol/kg.
    assert density(strength, temperature) == pytest.approx(expected, abs=1.0)


@pytest.mark.parametrize("temperature", [10.0, 12.0, 15.0, 20.0, 25.0])
@pytest.mark.parametrize("strength", [0.0, 5.0, 10.0, 15.0, 18.0, 20.0, 22.0, 23.0])
def test_density_agrees_with_coolprop(strength: float, temperature: float) -> None:
    from CoolProp.CoolProp import PropsSI

    fluid = f"INCOMP::MNA[{strength / 100}]"
    expected = PropsSI("D", "T", temperature + 273.15, "P", 101325, fluid)
    # Reached: -0.3 to +0.6 kg/m3 (0.6 kg/m3 is 0.08 % of salt).
    assert density(strength, temperature) == pytest.approx(expected, abs=0.7)


@pytest.mark.parametrize(
    ("temperature", "percent"), [(10, 26.32), (20, 26.41), (25, 26.45), (30, 26.52), (40, 26.67)]
)
def test_saturation_agrees_with_the_handbook(temperature: float, percent: float) -> None:
    # CRC Handbook, 98th ed. Reached: within 0.06 % absolute; other tables differ by 0.1.
    assert saturation(temperature) == pytest.approx(percent, abs=0.07)


@pytest.mark.parametrize(
    ("baume", "percent"),
    [(10, 10.12), (15, 15.51), (18, 18.85), (20, 21.12), (21, 22.27), (22, 23.38), (24, 25.75)],
)
def test_degrees_baume_of_the_145_scale(baume: float, percent: float) -> None:
    # Worked from the definition with CoolProp and thermo densities. Reached: 0.06 %.
    assert from_baume(baume) == pytest.approx(percent, abs=0.07)


def test_saturated_brine_has_the_specific_gravity_of_the_salometer_table() -> None:
    # 100 degrees salometer: SG 1.2037 at 60/60 degF; 80 degrees: 1.160, 20.0 Be.
    assert density(SATURATED_AT_60F, SIXTY_F) / density(0, SIXTY_F) == pytest.approx(
        1.2037, abs=5e-4
    )
    assert from_salometer(80) == pytest.approx(21.116)
    assert from_baume(20.0) == pytest.approx(from_salometer(80), abs=0.07)


def test_two_and_a_quarter_pounds_per_gallon_is_not_saturated() -> None:
    # Common practice, no source, calls this saturated. A US gallon is 231 cubic
    # inches (3.785412 L), a pound 453.59237 g; water at 20 degC 998.2 g/L (CRC).
    strength = from_mass_ratio(2.25 * 453.59237, 3.785412 * 998.2)
    assert strength == pytest.approx(21.2, abs=0.1)
    assert strength / saturation(20.0) == pytest.approx(0.80, abs=0.01)
