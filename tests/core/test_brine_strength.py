import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.brine.strength import (
    STRONGEST,
    density,
    from_baume,
    from_mass_ratio,
    from_salometer,
    in_water,
    saturation,
)
from cavewatch.core.errors import OutOfRangeError


def test_strength_is_salt_in_brine_not_in_water() -> None:
    assert from_mass_ratio(20.0, 80.0) == pytest.approx(20.0)
    assert in_water(20.0) == pytest.approx(25.0)


def test_more_salt_than_dissolves_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match=r"strength is 28.5714 % w/w; it must lie from 0 to"):
        from_mass_ratio(40.0, 100.0)


@given(st.floats(0.0, STRONGEST - 0.1), st.floats(0.0, 60.0))
def test_stronger_brine_is_denser(strength: float, temperature: float) -> None:
    assert density(strength + 0.1, temperature) > density(strength, temperature)


@pytest.mark.parametrize("call", [from_baume, from_salometer, saturation, in_water])
def test_what_no_brine_can_be_is_refused(call: object) -> None:
    with pytest.raises(OutOfRangeError):
        call(-1.0)  # type: ignore[operator]
    with pytest.raises(OutOfRangeError):
        call(float("nan"))  # type: ignore[operator]
