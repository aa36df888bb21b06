import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.salting.crossing import (
    CLOSE,
    EXACT,
    FIRST_STEP,
    HORIZON,
    crossing,
    first_crossing,
)

NOW = 1.7e9


class Counted:
    """A rising quantity of the time since NOW, and how often it was asked for."""

    def __init__(self, power: float, limit: float) -> None:
        self.power = power
        self.limit = limit
        self.asked = 0

    def __call__(self, at: float) -> float:
        self.asked += 1
        return self.value((at - NOW) / FIRST_STEP)

    def value(self, steps: float) -> float:
        return self.limit * -math.expm1(-(max(steps, 0.0) ** self.power) / self.limit)


risings = st.builds(Counted, st.floats(0.4, 2.0), st.floats(1.0, 3.0))


@given(risings, st.floats(0.01, 0.95), st.sampled_from([CLOSE, EXACT]))
def test_the_first_crossing_is_as_near_as_asked_and_never_early(
    rising: Counted, share: float, close: float
) -> None:
    level = share * rising.limit
    found = first_crossing(rising, level, NOW, close)
    assert found is not None
    assert rising(found) >= level
    assert rising(found - 1.01 * close - 3e-7) < level


@given(risings, st.floats(0.01, 0.95))
def test_it_is_found_in_few_looks(rising: Counted, share: float) -> None:
    # A bisection of six hours to a millionth of a second would take 35.
    first_crossing(rising, share * rising.limit, NOW, EXACT)
    assert rising.asked <= 30


def test_a_jump_is_found_too() -> None:
    def jump(at: float) -> float:
        return 1e6 if at >= NOW + 1234.5 else -1e-3

    assert crossing(jump, 0.0, NOW, NOW + 20_000.0) == pytest.approx(NOW + 1234.5, abs=CLOSE)


def test_what_is_there_at_the_start_is_reached_at_the_start() -> None:
    assert crossing(lambda at: at, 5.0, 5.0, 9.0) == 5.0


def test_nothing_is_looked_for_beyond_the_horizon() -> None:
    def linear(at: float) -> float:
        return at / HORIZON

    assert first_crossing(linear, 1.001, 0.0) is None
    assert first_crossing(linear, 0.999, 0.0) == pytest.approx(0.999 * HORIZON)
