"""Typed strengths of a brine, each with its basis."""

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from cavewatch import units
from cavewatch.core.brine.scales import GERLACH, from_baume, from_salometer, from_sg
from cavewatch.core.brine.strength import from_mass_ratio
from cavewatch.units import Display, UnitError


@pytest.mark.parametrize("text", ["20 %", "20%", "20,0 %", "20 % w/w", "20 % (w/w)", "20 percent"])
def test_per_cent_is_by_weight(text: str) -> None:
    assert units.strength(text) == 20.0


@pytest.mark.parametrize("unit", ["lb/gal", "lbs per gallon", "lb/gal water", "lb/US gal of water"])
def test_pounds_per_gallon_are_per_gallon_of_water(unit: str) -> None:
    water = PropsSI("D", "T", 293.15, "P", 101325.0, "Water")  # [g/L], 998.21 from CoolProp
    expected = from_mass_ratio(2.25 * 453.59237, 3.785411784 * water)
    # agreement reached: 1e-5 of the value; by hand 21.27 % w/w
    assert units.strength(f"2.25 {unit}") == pytest.approx(expected, rel=1e-4)
    assert units.strength(f"2.25 {unit}") == pytest.approx(21.27, abs=0.005)


@pytest.mark.parametrize("unit", ["g/L water", "g/l of water", "g per litre of water"])
def test_grams_per_litre_of_water_are_read(unit: str) -> None:
    assert units.strength(f"250 {unit}") == pytest.approx(100 * 250 / (250 + 998.2), rel=1e-12)


def test_grams_per_litre_of_brine_are_read() -> None:
    # Handbook: 20 % brine weighs 1147.8 g/L at 20 degC, of which 229.6 g are salt.
    assert units.strength("229.6 g/L brine") == pytest.approx(20.0, abs=0.01)
    assert units.basis("229.6 g/L brine") == "salt per brine at 20 °C"


def test_grams_per_litre_ask_which_litre() -> None:
    with pytest.raises(UnitError, match="'250 g/L' may mean water or brine; write '250 g/L water'"):
        units.strength("250 g/L")


def test_hydrometer_scales_are_read() -> None:
    for text in ("80 salometer", "80 degrees salometer", "80 °SAL"):
        assert units.strength(text) == from_salometer(80.0)
    for text in ("19 Be", "19 °Bé", "19 degrees Baumé", "19 baume"):
        assert units.strength(text) == from_baume(19.0)
    for text in ("19 Be Gerlach", "19 °Bé Gerlach"):
        assert units.strength(text) == from_baume(19.0, GERLACH)
    for text in ("1.151 SG", "1.151 sg", "1.151 specific gravity"):
        assert units.strength(text) == from_sg(1.151)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("20 % w/w", "by weight"),
        ("2.25 lb/gal", "salt per water"),
        ("250 g/L water", "salt per water"),
        ("19 °Bé", "on a hydrometer at 60 °F"),
        ("1.15 SG", "on a hydrometer at 60 °F"),
    ],
)
def test_the_basis_of_a_strength_can_be_said(text: str, words: str) -> None:
    assert units.basis(text) == words


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("20", "write 20 %"),
        ("0 %", "not above zero"),
        ("-5 %", "not above zero"),
        ("35 %", "350 g/L water"),
        ("20 % w/v", "what kind of strength"),
        ("1.5 SG", "is no brine"),
        ("1.000 SG", "water without salt"),
        ("1,151 SG", "without the comma"),
        ("20 degC", "what kind of strength"),
        ("4 lb/gal", "is no brine"),
        ("120 salometer", "is no brine"),
        ("60 Be", "is no brine"),
        ("5 cm/gal", "not a weight"),
        ("5 lb/kg", "not a volume"),
    ],
)
def test_what_is_no_strength_is_refused_with_what_to_write(text: str, words: str) -> None:
    with pytest.raises(UnitError, match=words):
        units.strength(text)


@given(st.floats(0.1, 26.3))
def test_a_shown_strength_reads_as_the_same_strength(percent: float) -> None:
    assert units.strength(Display().strength(percent)) == pytest.approx(percent, abs=0.0501)
