import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.brine.capacity import capacity
from cavewatch.core.brine.exchange import exchange, water_per_salt
from cavewatch.core.brine.restoring import Tub
from cavewatch.core.countdown import Span
from cavewatch.core.errors import OutOfRangeError

TUBS = st.builds(
    lambda mass, strength: Tub(mass, mass * strength / 100.0),
    st.floats(5_000.0, 500_000.0),
    st.floats(5.0, 26.0),
)


@given(TUBS, st.floats(1.0, 26.0), st.floats(0.5, 4.0), st.floats(0.0, 3.0))
def test_the_brine_is_at_the_bound_when_it_is_used_up(
    tub: Tub, bound: float, percent: float, ratio: float
) -> None:
    cheese = capacity(tub, bound, percent, Span(ratio, ratio, ratio)).expected
    after = tub.after(exchange(1000.0 * cheese, percent, ratio))
    assert after.strength == pytest.approx(min(bound, tub.strength), abs=1e-9)


def test_one_tub_by_hand() -> None:
    # 100 kg at 20 % to 18 %: 2 kg of salt to spare; each kg of cheese at 2 % takes 20 g
    # and brings 45 g of water, which asks for 18 % of the 25 g net: 20 + 4.5 g.
    cheese = capacity(Tub(100_000.0, 20_000.0), 18.0, 2.0, Span(2.25, 2.25, 2.25))
    assert cheese.expected == pytest.approx(2000.0 / 24.5)


@given(TUBS, st.floats(12.0, 20.0))
def test_cheese_that_gives_more_water_uses_the_brine_up_sooner(tub: Tub, bound: float) -> None:
    cheese = capacity(tub, bound, 2.0, water_per_salt(tub.strength))
    assert cheese.low <= cheese.expected <= cheese.high


def test_brine_already_too_weak_takes_nothing() -> None:
    assert capacity(Tub(1000.0, 150.0), 18.0, 2.0, water_per_salt(15.0)) == Span(0.0, 0.0, 0.0)


@pytest.mark.parametrize("percent", [0.0, -1.0, float("nan")])
def test_cheese_that_takes_no_salt_is_refused(percent: float) -> None:
    with pytest.raises(OutOfRangeError, match="salt in the cheese"):
        capacity(Tub(1000.0, 200.0), 18.0, percent, water_per_salt(20.0))
