import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.errors import OutOfRangeError
from cavewatch.core.salting.clock import DAY, WarmthRecord, warmth_factor


def test_the_style_books_temperature_is_the_measure() -> None:
    assert warmth_factor(12.0) == pytest.approx(1.0)


def test_ten_degrees_warmer_is_half_as_fast_again() -> None:
    # Arithmetic on the activation energy: x 1.48 from 10 to 20 degC at 27.2 kJ/mol;
    # with 27 kJ/mol 1.479.
    assert warmth_factor(20.0) / warmth_factor(10.0) == pytest.approx(1.48, abs=0.005)


def test_temperatures_outside_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match="temperature of the paste is 55 degC"):
        warmth_factor(55.0)


def test_a_record_needs_its_temperatures() -> None:
    with pytest.raises(ValueError, match="as many temperatures as times"):
        WarmthRecord([0.0, 1.0], [12.0])


@given(
    st.lists(st.tuples(st.floats(0, 30 * DAY), st.floats(-30, 60)), min_size=1, max_size=20),
    st.lists(st.floats(-DAY, 40 * DAY), min_size=3, max_size=3),
)
def test_days_add_up_wherever_they_are_cut(
    entries: list[tuple[float, float]], times: list[float]
) -> None:
    entries.sort()
    record = WarmthRecord([at for at, _ in entries], [value for _, value in entries])
    first, middle, last = sorted(times)
    whole = record.days(first, last)
    cut = record.days(first, middle) + record.days(middle, last)
    assert math.isclose(whole, cut, rel_tol=1e-9, abs_tol=1e-9)
    assert record.days(first, last) >= 0


def test_a_record_counts_each_stretch_at_its_own_temperature() -> None:
    record = WarmthRecord([0.0, DAY], [20.0, 10.0])
    expected = 1.5 * warmth_factor(20.0) + 2.0 * warmth_factor(10.0)
    assert record.days(-DAY / 2, 3 * DAY) == pytest.approx(expected)
