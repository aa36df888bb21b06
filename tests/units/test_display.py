"""Values as they are shown, in both systems."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch import units
from cavewatch.core.countdown import Span
from cavewatch.core.shape import Cuboid, Cylinder, Sphere
from cavewatch.core.text import braced
from cavewatch.units import Display, System, display, system_of

METRIC, US = Display(), Display(System.US)
PINT: pint.UnitRegistry[float] = pint.UnitRegistry()


def test_the_factors_are_those_of_pint() -> None:
    def factor(unit: str, base: str) -> float:
        return float(PINT.Quantity(1.0, unit).m_as(base))

    # agreement reached: exact but for the last digit of a float
    assert factor("pound", "gram") == pytest.approx(display._GRAMS_PER_POUND, rel=1e-15)
    assert factor("ounce", "gram") == pytest.approx(display._GRAMS_PER_OUNCE, rel=1e-15)
    assert factor("inch", "centimeter") == pytest.approx(display._CENTIMETRES_PER_INCH, rel=1e-15)
    gallon = factor("US_liquid_gallon", "liter")
    assert gallon == pytest.approx(display._LITRES_PER_GALLON, rel=1e-15)


@given(st.floats(-40.0, 80.0))
def test_degrees_fahrenheit_are_those_of_pint(celsius: float) -> None:
    shown = float(US.temperature(celsius).removesuffix(" °F"))
    assert shown == pytest.approx(PINT.Quantity(celsius, "degC").m_as("degF"), abs=0.0501)
    gap = float(US.temperature_difference(celsius).removesuffix(" °F"))
    assert gap == pytest.approx(PINT.Quantity(celsius, "delta_degC").m_as("delta_degF"), abs=0.0501)


@pytest.mark.parametrize(
    ("celsius", "metric", "us"),
    [(13.04, "13.0 °C", "55.5 °F"), (-0.04, "0.0 °C", "31.9 °F"), (-17.8, "-17.8 °C", "0.0 °F")],
)
def test_temperatures_are_shown(celsius: float, metric: str, us: str) -> None:
    assert (METRIC.temperature(celsius), US.temperature(celsius)) == (metric, us)


def test_values_in_a_text_come_in_the_units_of_who_looks() -> None:
    told = "at {12.0 degC}, {0.5 K} off, {9.0 g} of salt, 85 %; {this} stays"
    assert METRIC.told(told) == "at 12.0 °C, 0.5 °C off, 9.0 g of salt, 85 %; {this} stays"
    assert US.told(told) == "at 53.6 °F, 0.9 °F off, 0.32 oz of salt, 85 %; {this} stays"


@given(st.floats(-1e6, 1e6), st.sampled_from(["degC", "K", "g"]))
def test_a_value_put_into_a_text_is_found_again(value: float, unit: str) -> None:
    said = {"degC": METRIC.temperature, "K": METRIC.temperature_difference, "g": METRIC.mass}
    assert METRIC.told(f"a {braced(value, unit)} b") == f"a {said[unit](round(value, 3))} b"


@pytest.mark.parametrize(
    "hostile",
    [
        "{",
        "}{",
        "{}",
        "{0}",
        "{what}",
        "{1e9 degC}",
        "{nan degC}",
        "{12  degC}",
        "{12 degC",
        "{-- degC}",
        "{٣ degC}",
        f"{{{'9' * 400} degC}}",
        "{12.0 degC!r:>99999999}",
    ],
)
def test_braces_that_hold_no_value_stay_as_they_are(hostile: str) -> None:
    assert US.told(f"notice said {hostile} today") == f"notice said {hostile} today"


@given(st.text(alphabet="{}0129.- degCKg%", max_size=60))
def test_a_text_is_told_once_however_often_it_is_told(text: str) -> None:
    once = US.told(text)
    assert METRIC.told(once) == once


def test_a_difference_has_no_offset() -> None:
    assert METRIC.temperature_difference(1.5) == "1.5 °C"
    assert US.temperature_difference(1.5) == "2.7 °F"


def test_percentages_are_the_same_in_both_systems() -> None:
    for shown in (METRIC, US):
        assert shown.humidity(88.2) == "88 %"
        assert shown.humidity_difference(0.44) == "0.4 %"
        assert shown.strength(20.06) == "20.1 %"
        assert shown.salt(1.84) == "1.8 %"


@pytest.mark.parametrize(
    ("grams", "metric", "us"),
    [
        (2300.0, "2.3 kg", "5.1 lb"),
        (410.0, "410 g", "14 oz"),
        (4.24, "4.2 g", "0.15 oz"),
        (9.96, "10 g", "0.35 oz"),
        (999.6, "1.0 kg", "2.2 lb"),
        (450.0, "450 g", "1.0 lb"),
        (12_400.0, "12.4 kg", "27.3 lb"),
        (120_000.0, "120 kg", "265 lb"),
    ],
)
def test_weights_are_shown_in_the_unit_that_suits_them(grams: float, metric: str, us: str) -> None:
    assert (METRIC.mass(grams), US.mass(grams)) == (metric, us)


def test_a_dose_is_shown_with_its_range_in_one_unit() -> None:
    assert METRIC.dose(Span(38.2, 45.0, 52.4)) == "38 to 52 g"
    assert US.dose(Span(38.2, 45.0, 52.4)) == "1.3 to 1.8 oz"
    assert METRIC.dose(Span(800.0, 1000.0, 1250.0)) == "0.8 to 1.2 kg"
    assert METRIC.dose(Span(44.8, 45.0, 45.2)) == "45 g"


def test_volumes_and_sizes_are_shown() -> None:
    assert (METRIC.volume(60.0), US.volume(60.0)) == ("60 L", "16 gal")
    assert METRIC.shape(Cylinder(17.78, 7.62)) == "17.8 x 7.6 cm"
    assert US.shape(Cylinder(17.78, 7.62)) == "7.0 x 3.0 in"
    assert METRIC.shape(Cuboid(20, 10, 8)) == "20.0 x 10.0 x 8.0 cm"
    assert METRIC.shape(Sphere(12.0)) == "ball 12.0 cm"


@pytest.mark.parametrize(
    ("grams", "metric", "us"),
    [
        (5013.0, "5.01 kg", "11.1 lb"),
        (1253.0, "1.25 kg", "2.76 lb"),
        (748.4, "748 g", "1.65 lb"),
        (42.6, "42.6 g", "1.50 oz"),
        (9.996, "10.0 g", "0.35 oz"),
        (123_456.0, "123 kg", "272 lb"),
    ],
)
def test_a_weight_to_weigh_out_has_three_figures(grams: float, metric: str, us: str) -> None:
    assert (METRIC.to_weigh(grams), US.to_weigh(grams)) == (metric, us)


def test_a_volume_to_measure_out_has_three_figures() -> None:
    assert (METRIC.to_measure(23.58), US.to_measure(23.58)) == ("23.6 L", "6.23 gal")
    assert (METRIC.to_measure(0.0577), US.to_measure(0.0577)) == ("57.7 mL", "57.7 mL")
    assert METRIC.to_measure(0.9996) == "1.00 L"


def test_a_length_is_shown_in_centimetres_or_inches() -> None:
    assert Display().length(0.64) == "0.6 cm"
    assert Display(System.US).length(2.54) == "1.0 in"


def test_a_weight_with_its_range_keeps_to_one_unit() -> None:
    assert METRIC.ranged(Span(660.0, 899.0, 1140.0)) == "0.9 kg (0.7 to 1.1 kg)"
    assert METRIC.ranged(Span(323.0, 552.0, 823.0)) == "552 g (323 to 823 g)"
    assert METRIC.ranged(Span(687.0, 687.0, 687.0)) == "687 g"


@pytest.mark.parametrize(
    "text", ["5 gal", "26lb", "54 degF", "54 °F", "2.25 lb/gal", "3 oz", "1 qt"]
)
def test_values_typed_in_us_units_are_known_as_such(text: str) -> None:
    assert system_of(["20 %", text]) is System.US


@pytest.mark.parametrize("text", ["5 L", "26 kg", "12 degC", "250 g/L water", "19 Be", "saturated"])
def test_other_values_are_metric(text: str) -> None:
    assert system_of([text]) is System.METRIC


@given(grams=st.floats(3.0, 5e5), system=st.sampled_from(System))
def test_a_weight_to_weigh_out_reads_as_the_same_weight(grams: float, system: System) -> None:
    # half of the last of three figures; two below 0.1 oz short of that
    assert units.mass(Display(system).to_weigh(grams)) == pytest.approx(grams, rel=0.0501)


@given(grams=st.floats(3.0, 5e5), system=st.sampled_from(System))
def test_a_shown_weight_reads_as_the_same_weight(grams: float, system: System) -> None:
    again = units.mass(Display(system).mass(grams))
    # half of the last digit shown, at worst 0.05 of 1.0
    assert again == pytest.approx(grams, rel=0.0501)


@given(celsius=st.floats(-40.0, 80.0), system=st.sampled_from(System))
def test_a_shown_temperature_reads_as_the_same_temperature(celsius: float, system: System) -> None:
    assert units.temperature(Display(system).temperature(celsius)) == pytest.approx(
        celsius, abs=0.0501
    )


@given(litres=st.floats(0.5, 5000.0), system=st.sampled_from(System))
def test_a_shown_volume_reads_as_the_same_volume(litres: float, system: System) -> None:
    assert units.volume(Display(system).volume(litres)) == pytest.approx(litres, rel=0.051)


@pytest.mark.parametrize(
    ("days", "words"), [(0.4, "0 d"), (9.6, "10 d"), (17.2, "17 d"), (1172.0, "1200 d")]
)
def test_days_of_a_model_have_two_figures(days: float, words: str) -> None:
    assert Display(System.METRIC).days(days) == words
