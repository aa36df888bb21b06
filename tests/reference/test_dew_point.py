"""Dew point against two libraries of the properties of moist air."""

import psychrolib
import pytest

from cavewatch.core.air import dew_point

# T [degC], RH [%], dew point [degC]. Source: CoolProp 8.0.0 HAPropsSI, 101325 Pa.
COOLPROP = [
    (10.0, 80.0, 6.71),
    (10.0, 90.0, 8.44),
    (12.0, 85.0, 9.56),
    (12.0, 95.0, 11.22),
    (14.0, 92.0, 12.72),
    (20.0, 75.0, 15.44),
]


@pytest.mark.parametrize(("temperature", "humidity", "expected"), COOLPROP)
def test_dew_point_agrees_with_coolprop(temperature, humidity, expected):
    # Reached: 0.009 K against these values, of which 0.005 K is their rounding.
    assert dew_point(temperature, humidity) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(("driest", "allowed"), [(20, 0.04), (40, 0.03), (80, 0.01)])
def test_dew_point_agrees_with_psychrolib_over_water(driest, allowed):
    # psychrolib 2.5.0 (ASHRAE's formulas). Reached, 1 to 40 degC with the dew point above
    # 0 degC, where psychrolib does not yet turn to ice: 0.039 K from 20 % RH on, 0.028 K from
    # 40 %, 0.008 K from 80 %.
    psychrolib.SetUnitSystem(psychrolib.SI)
    compared = 0
    for temperature in range(1, 41):
        for humidity in range(driest, 101):
            expected = psychrolib.GetTDewPointFromRelHum(temperature, humidity / 100)
            if expected > 0.0:
                compared += 1
                assert dew_point(temperature, humidity) == pytest.approx(expected, abs=allowed)
    assert compared > 750
