"""Typed weights, lengths, volumes, temperatures, humidities and times."""

import subprocess
import sys
from collections.abc import Callable
from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch import units
from cavewatch.units import UnitError

PINT: pint.UnitRegistry[float] = pint.UnitRegistry()
"""pint's own definitions, which know nothing of ours."""

numbers = st.decimals("0.01", "5000", places=2)


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("5 lb", 2267.96185),
        ("2.3 kg", 2300.0),
        ("2,3 kg", 2300.0),
        ("2,3 kilos", 2300.0),
        ("410 g", 410.0),
        ("1500 Gram", 1500.0),
        ("2 lbs", 907.18474),
        ("2 pounds", 907.18474),
        ("8 oz", 226.796185),
        ("8oz.", 226.796185),
        ("5 lb 3 oz", 2353.010419375),
        (" 5lbs. and 3oz ", 2353.010419375),
        (".5 kg", 500.0),
        ("0,500 kg", 500.0),
        ("\uff12.5\u00a0kg", 2500.0),
    ],
)
def test_weights_are_read_exactly(text: str, grams: float) -> None:
    assert units.mass(text) == grams


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("2.3", "write it like 2.3 kg or 5 lb"),
        ("", "write it like 2.3 kg or 5 lb"),
        ("kg", "cannot be read"),
        ("0 kg", "not above zero"),
        ("-2 kg", "not above zero"),
        ("12 cm", "not a weight"),
        ("2 stone", "not a weight"),
        ("2 kg kg", "not a weight"),
        ("2 kg**9**9", "not a weight"),
        ("1e3 g", "not a weight"),
        ("1,500 g", "may mean 1500 or 1.5"),
        ("1.2.3 kg", "cannot be read"),
        ("5 lb 16 oz", "write 5 lb 3 oz"),
        ("nan kg", "cannot be read"),
        ("9" * 400 + " g", "cannot be read"),
    ],
)
def test_what_is_no_weight_is_refused_with_what_to_write(text: str, words: str) -> None:
    with pytest.raises(UnitError, match=words.replace("*", r"\*")):
        units.mass(text)


def test_an_error_never_repeats_control_characters() -> None:
    with pytest.raises(UnitError) as caught:
        units.mass("\x1b[31m9 \u202ekg")
    assert str(caught.value).isprintable()


@pytest.mark.parametrize(
    ("text", "centimetres"),
    [("18 cm", 18.0), ("180 mm", 18.0), ("0.18 m", 18.0), ("7 in", 17.78), ('7"', 17.78)],
)
def test_lengths_are_read_exactly(text: str, centimetres: float) -> None:
    assert units.length(text) == centimetres


@pytest.mark.parametrize(
    ("text", "litres"),
    [
        ("60 L", 60.0),
        ("500 mL", 0.5),
        ("16 gal", 60.566588544),
        ("16 US gallons", 60.566588544),
        ("4 qt", 3.785411784),
        ("2 litres", 2.0),
        ("2 liters", 2.0),
    ],
)
def test_volumes_are_read_exactly(text: str, litres: float) -> None:
    assert units.volume(text) == litres


def test_an_imperial_gallon_is_not_taken_for_another() -> None:
    with pytest.raises(UnitError, match=r"16 gal \(US\)"):
        units.volume("3 imp gal")


@pytest.mark.parametrize(
    ("unit", "ours", "theirs"),
    [
        ("kg", units.mass, ("kilogram", "gram")),
        ("lb", units.mass, ("pound", "gram")),
        ("oz", units.mass, ("ounce", "gram")),
        ("mm", units.length, ("millimeter", "centimeter")),
        ("m", units.length, ("meter", "centimeter")),
        ("inch", units.length, ("inch", "centimeter")),
        ("mL", units.volume, ("milliliter", "liter")),
        ("gal", units.volume, ("US_liquid_gallon", "liter")),
        ("qt", units.volume, ("US_liquid_quart", "liter")),
        ("min", units.duration, ("minute", "second")),
        ("h", units.duration, ("hour", "second")),
        ("d", units.duration, ("day", "second")),
        ("F", units.temperature, ("degF", "degC")),
    ],
)
@given(number=numbers)
def test_conversions_agree_with_pints_own_definitions(
    unit: str, ours: Callable[[str], float], theirs: tuple[str, str], number: Decimal
) -> None:
    expected = PINT.Quantity(float(number), theirs[0]).m_as(theirs[1])
    # agreement reached: 1e-13 of the value, the last digits of a float
    assert ours(f"{number} {unit}") == pytest.approx(expected, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("12 degC", 12.0),
        ("12 °C", 12.0),
        ("12C", 12.0),
        ("12 º C", 12.0),
        ("-3,5 celsius", -3.5),
        ("\u22122 \u2103", -2.0),
        ("0 C", 0.0),
        ("50 F", 10.0),
        ("50 degF", 10.0),
        ("50 °F", 10.0),
        ("50 degrees Fahrenheit", 10.0),
        ("-40 F", -40.0),
    ],
)
def test_temperatures_are_read(text: str, celsius: float) -> None:
    assert units.temperature(text) == celsius


@pytest.mark.parametrize("text", ["12", "12 K", "-300 C", "-500 F", "12 cm", "warm"])
def test_what_is_no_temperature_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match="write it like 12 degC or 54 degF"):
        units.temperature(text)


def test_humidity_is_a_percentage_up_to_a_hundred() -> None:
    assert units.humidity("88,5 %") == 88.5
    for text in ("88", "101 %", "-1 %", "0.9 kg"):
        with pytest.raises(UnitError, match="write it like 88 %"):
            units.humidity(text)


def test_lengths_of_time_are_read() -> None:
    assert [units.duration(text) for text in ("30 s", "5 min", "1.5 h", "2 days")] == [
        30.0,
        300.0,
        5400.0,
        172800.0,
    ]
    for text in ("30", "0 s", "-1 h", "5 m", "soon"):
        with pytest.raises(UnitError, match="write it like 30 s, 5 min, 8 h or 2 d"):
            units.duration(text)


READERS = [
    units.mass,
    units.length,
    units.volume,
    units.temperature,
    units.humidity,
    units.duration,
    units.shape,
    units.strength,
]


@given(
    text=st.text(max_size=30) | st.text("0123456789.,-+ xkgclbozin%/\"°'waterballB", max_size=20)
)
def test_any_text_is_read_or_refused_in_one_printable_sentence(text: str) -> None:
    for read in READERS:
        said = ""
        try:
            read(text)
        except UnitError as fault:
            said = str(fault)
        assert said.isprintable()


def test_what_needs_no_conversion_and_what_is_only_shown_loads_no_pint() -> None:
    program = (
        "import sys; from cavewatch import units\n"
        "units.mass('410 g'); units.volume('60 L'); units.length('18 cm'); units.strength('20 %')\n"
        "units.temperature('54 F'); units.duration('5 min'); units.shape('18 x 8 cm')\n"
        "shown = units.Display(units.System.US).mass(2300.0)\n"
        "print(shown, 'pint' in sys.modules, 'numpy' in sys.modules)\n"
        "units.mass('5 lb'); print('pint' in sys.modules)"
    )
    out = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert out.stdout.split("\n")[:2] == ["5.1 lb False False", "True"]
