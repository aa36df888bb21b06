"""What is typed about a brine besides its strength: readings, water, additives."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch import units
from cavewatch.core.brine.calcium import ANHYDROUS, DIHYDRATE
from cavewatch.core.brine.hydrometer import Scale
from cavewatch.core.errors import CavewatchError
from cavewatch.units import DriedReading, HydrometerReading, RefractometerReading, UnitError


@pytest.mark.parametrize(
    ("text", "reading"),
    [
        ("1.151 SG", HydrometerReading(Scale.SG, 1.151)),
        ("20 Be", HydrometerReading(Scale.BAUME, 20.0)),
        ("20 °Bé Gerlach", HydrometerReading(Scale.GERLACH, 20.0)),
        ("80 salometer", HydrometerReading(Scale.SALOMETER, 80.0)),
        ("22,7 Bx", RefractometerReading(22.7)),
        ("22.7 °Brix", RefractometerReading(22.7)),
        ("50 g dry 10 g", DriedReading(50.0, 10.0)),
        ("50 g, dried to 10 g", DriedReading(50.0, 10.0)),
    ],
)
def test_readings_name_their_instrument(text: str, reading: units.BrineReading) -> None:
    assert units.brine_reading(text) == reading


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("20", "names no instrument"),
        ("20 %", "names no instrument"),
        ("2.25 lb/gal", "names no instrument"),
        ("50 g dry 10", "has no unit"),
        ("50 L dry 10 g", "is not a weight"),
        ("SG", "cannot be read"),
    ],
)
def test_what_is_no_reading_is_refused(text: str, words: str) -> None:
    with pytest.raises(UnitError, match=words):
        units.brine_reading(text)


@given(st.text(max_size=30))
def test_no_text_breaks_the_reading_of_readings(text: str) -> None:
    try:
        units.brine_reading(text)
    except UnitError as fault:
        assert "\x1b" not in str(fault)  # noqa: PT017 - most texts are refused


def test_water_is_typed_by_volume_or_weight() -> None:
    assert units.water("20 kg") == 20_000.0
    assert units.water("20 L") == pytest.approx(19_964.0)
    assert units.water("5 gal") == pytest.approx(5 * 3.785411784 * 998.2)


@pytest.mark.parametrize("text", ["20", "20 cm", "0 L", "-1 kg", "1,500 g", ""])
def test_what_is_no_water_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        units.water(text)


def test_a_part_is_a_per_cent_within_bounds() -> None:
    assert units.part("0.1 %", 5.0) == 0.1
    assert units.part("0 %", 5.0) == 0.0
    for text in ("0.1", "6 %", "-1 %", "0.1 g"):
        with pytest.raises(UnitError, match="from 0 to 5 %"):
            units.part(text, 5.0)


def test_calcium_is_named_as_on_the_packet() -> None:
    assert units.calcium_source("Anhydrous") == ANHYDROUS
    assert units.calcium_source("dihydrate") == DIHYDRATE
    assert units.calcium_source("33 % solution").content == 33.0
    for text in ("flakes", "50 % solution", "0 % solution", "% solution"):
        with pytest.raises(CavewatchError):
            units.calcium_source(text)


def test_acids_are_named_with_their_strength() -> None:
    assert units.acid("vinegar 5 %") == units.acid("vinegar")
    assert units.acid("lactic acid 80%").content == 80.0
    for text in ("citric", "vinegar 0 %", "lactic 200 %", "vinegar five"):
        with pytest.raises(CavewatchError):
            units.acid(text)


def test_alkalinity_is_the_same_in_every_unit() -> None:
    # 50.04 mg/L CaCO3 and 2.8 German degrees are 1 mmol/L, by the molar masses
    assert units.alkalinity("1 mmol/L").expected == 1.0
    assert units.alkalinity("50.04 mg/L CaCO3").expected == pytest.approx(1.0, rel=1e-3)
    assert units.alkalinity("2.804 dKH").expected == pytest.approx(1.0, rel=1e-3)
    for text in ("7", "7 %", "-1 mmol/L"):
        with pytest.raises(UnitError, match="is no alkalinity"):
            units.alkalinity(text)
