import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.brine.strength import (
    STRONGEST,
    from_in_water,
    from_mass_ratio,
    in_water,
    saturation,
    share_of_saturation,
)
from cavewatch.core.errors import OutOfRangeError


def test_strength_is_salt_in_brine_not_in_water() -> None:
    assert from_mass_ratio(20.0, 80.0) == pytest.approx(20.0)
    assert in_water(20.0) == pytest.approx(25.0)
    assert from_in_water(25.0) == pytest.approx(20.0)


@given(st.floats(0.0, 40.0))
def test_salt_in_water_and_back_changes_nothing(strength: float) -> None:
    assert from_in_water(in_water(strength)) == pytest.approx(strength, abs=1e-9)


def test_more_salt_than_dissolves_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match=r"strength is 28.5714 % w/w; it must lie from 0 to"):
        from_mass_ratio(40.0, 100.0)


def test_the_strongest_brine_is_saturated_at_32_degrees() -> None:
    assert saturation(31.5) < STRONGEST < saturation(32.0)


@given(st.floats(0.0, 60.0))
def test_saturated_brine_is_a_hundred_per_cent_saturated(temperature: float) -> None:
    most = saturation(temperature)
    assert share_of_saturation(most, temperature) == pytest.approx(100.0)
    assert share_of_saturation(most / 2, temperature) == pytest.approx(50.0)
    with pytest.raises(OutOfRangeError, match="it must lie from 0 to"):
        share_of_saturation(most + 0.01, temperature)


@pytest.mark.parametrize("call", [saturation, in_water, from_in_water])
def test_what_no_brine_can_be_is_refused(call: object) -> None:
    with pytest.raises(OutOfRangeError):
        call(-1.0)  # type: ignore[operator]
    with pytest.raises(OutOfRangeError):
        call(float("nan"))  # type: ignore[operator]
