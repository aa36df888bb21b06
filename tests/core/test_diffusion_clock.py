import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.errors import OutOfRangeError
from cavewatch.core.salting.clock import DAY, WarmStart, WarmthRecord, warmth_factor
from cavewatch.core.salting.paste import Face, Held, Paste
from cavewatch.core.shape import Cylinder, Sphere


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


def test_a_sinusoidal_temperature_equals_a_constant_one_with_the_same_clock() -> None:
    # Five days of 13 +- 5 degC, once a day, as a record of every minute.
    minutes = [60.0 * n for n in range(5 * 1440)]
    record = [13.0 + 5.0 * math.sin(2 * math.pi * at / DAY) for at in minutes]
    swinging = WarmthRecord(minutes, record)
    days = swinging.days(0.0, 5 * DAY)
    low, high = 8.0, 18.0
    while high - low > 1e-13 * high:
        middle = (low + high) / 2
        low, high = (middle, high) if warmth_factor(middle) < days / 5 else (low, middle)
    constant = WarmthRecord([0.0], [low])
    # Warmth counts more than cold costs.
    assert 13.0 < low < 13.5

    paste = Paste(Cylinder(18.0, 8.0))
    course = paste.course(paste.fresh(), {Face.SIDE: Held(21.0), Face.BOTTOM: Held(21.0)})
    for_swinging = course.salt(0.15 * days)
    for_constant = course.salt(0.15 * constant.days(0.0, 5 * DAY))
    np.testing.assert_allclose(for_swinging, for_constant, rtol=0, atol=1e-10 * 21)


@pytest.mark.parametrize("excess", [-8.0, 5.0, 20.0])
def test_a_warm_start_counts_the_warmth_while_it_lasts(excess: float) -> None:
    start = WarmStart.of(0.0, excess, Cylinder(18.0, 8.0))
    times = np.linspace(0.0, DAY / 2, 50_001)
    own = 12.0 + excess * np.exp(-times / DAY / start.constant)
    over = np.array([warmth_factor(t) for t in own]) - warmth_factor(12.0)
    # The exponent of Arrhenius' law is taken as straight about the surroundings:
    # 5 % too much for a wheel 20 K warmer, 1 % for one 5 K warmer.
    expected = float(np.trapezoid(over, times)) / DAY
    assert start.days(DAY / 2, warmth_factor(12.0), 12.0) == pytest.approx(expected, rel=0.06)


def test_a_warm_start_is_over_before_long_and_longer_for_a_thicker_wheel() -> None:
    small, large = (WarmStart.of(0.0, 15.0, Sphere(diameter)) for diameter in (8.0, 16.0))
    assert large.constant == pytest.approx(4 * small.constant)
    soon, later = (small.days(day * DAY, 1.0, 12.0) for day in (1.0, 9.0))
    assert 0 < soon == pytest.approx(later, rel=1e-6)
    assert small.days(-1.0, 1.0, 12.0) == 0.0
