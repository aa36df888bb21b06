import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.brine.acid import WATER_ALKALINITY, Acid, dose, lactic, vinegar
from cavewatch.core.countdown import Span
from cavewatch.core.errors import OutOfRangeError

ACIDS = st.sampled_from([vinegar(), vinegar(10.0), lactic(), lactic(80.0)])
PH = st.floats(4.0, 6.5)


def just(value: float) -> Span:
    return Span(value, value, value)


def ph_of(acid: Acid, grams_per_litre: float, alkalinity: float) -> float:
    """pH of water with this much product, by bisection of the charge balance [mmol/L]."""
    total = grams_per_litre * acid.content / 100.0 / acid.molar_mass * 1000.0
    low, high = 1.0, 9.0
    for _ in range(80):
        ph = (low + high) / 2
        positive = alkalinity + 1000.0 * 10.0**-ph
        negative = alkalinity / (1 + 10 ** (6.35 - ph)) + total / (1 + 10 ** (acid.pka - ph))
        low, high = (ph, high) if positive > negative else (low, ph)
    return low


@given(ACIDS, PH, st.floats(0.0, 10.0))
def test_the_dose_gives_the_ph_it_was_worked_out_for(acid: Acid, ph: float, alk: float) -> None:
    grams = dose(acid, ph, just(alk), 1.0).expected
    assert ph_of(acid, grams, alk) == pytest.approx(ph, abs=1e-6)


@given(ACIDS, st.floats(4.0, 6.4))
def test_lower_ph_and_harder_water_take_more_acid(acid: Acid, ph: float) -> None:
    grams = dose(acid, ph, WATER_ALKALINITY, 20.0)
    assert grams.low < grams.expected < grams.high
    assert dose(acid, ph + 0.1, WATER_ALKALINITY, 20.0).expected < grams.expected


@given(ACIDS, PH, st.floats(0.1, 1000.0))
def test_the_dose_goes_with_the_water(acid: Acid, ph: float, litres: float) -> None:
    one = dose(acid, ph, WATER_ALKALINITY, 1.0)
    many = dose(acid, ph, WATER_ALKALINITY, litres)
    assert math.isclose(many.expected, one.expected * litres)


def test_a_weaker_product_takes_more_grams() -> None:
    five = dose(vinegar(5.0), 5.2, WATER_ALKALINITY, 10.0)
    ten = dose(vinegar(10.0), 5.2, WATER_ALKALINITY, 10.0)
    assert five.expected == pytest.approx(2.0 * ten.expected)


@pytest.mark.parametrize("ph", [3.9, 6.6, float("nan")])
def test_a_ph_that_no_brine_is_given_is_refused(ph: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"must lie from 4 to 6\.5 pH"):
        dose(vinegar(), ph, WATER_ALKALINITY, 1.0)


def test_an_acid_that_is_not_sold_so_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="acetic acid in vinegar is 80 %"):
        vinegar(80.0)
    with pytest.raises(OutOfRangeError, match="lactic acid is 0 %"):
        lactic(0.0)


@given(st.floats(4.0, 6.0), st.floats(0.05, 0.4))
def test_brine_soured_in_two_goes_takes_what_one_would(ph: float, above: float) -> None:
    at_once = dose(vinegar(), ph, WATER_ALKALINITY, 20.0)
    first = dose(vinegar(), ph + above, WATER_ALKALINITY, 20.0)
    then = dose(vinegar(), ph, WATER_ALKALINITY, 20.0, now=ph + above)
    assert first.expected + then.expected == pytest.approx(at_once.expected)
    assert then.low <= then.expected <= then.high


def test_brine_that_is_sour_already_takes_no_acid() -> None:
    assert dose(vinegar(), 5.2, WATER_ALKALINITY, 20.0, now=5.0) == Span(0.0, 0.0, 0.0)
    with pytest.raises(OutOfRangeError, match="acidity now is 12 pH"):
        dose(vinegar(), 5.2, WATER_ALKALINITY, 20.0, now=12.0)
