"""What a wheel weighs and holds adds up, and the two ways of saying how salty it is agree."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.salting.balance import Body

bodies = st.builds(
    lambda weight, moisture, ratio: Body(weight, weight * moisture, ratio),
    st.floats(50.0, 50_000.0),
    st.floats(0.3, 0.6),
    st.floats(0.0, 3.0),
)
means = st.floats(1e-6, 20.0)


@given(bodies, means)
def test_salt_water_and_the_rest_are_the_weight(body: Body, mean: float) -> None:
    solids = body.weight - body.water
    whole = solids + body.water_left(mean) + body.salt(mean)
    assert whole == pytest.approx(body.weight_now(mean), rel=1e-9)


@given(bodies, means)
def test_the_percentages_are_shares_of_what_is_there_now(body: Body, mean: float) -> None:
    grams = body.salt(mean)
    assert body.salt_percent(mean) / 100 * body.weight_now(mean) == pytest.approx(grams, rel=1e-9)
    assert body.salt_in_moisture(mean) / 100 * body.water_left(mean) == pytest.approx(
        grams, rel=1e-9
    )


@given(bodies, means)
def test_a_target_said_either_way_leads_back_to_the_field(body: Body, mean: float) -> None:
    assert body.mean_at_percent(body.salt_percent(mean)) == pytest.approx(mean, rel=1e-9)
    assert body.mean_at_moisture(body.salt_in_moisture(mean)) == pytest.approx(mean, rel=1e-9)


@given(bodies, means)
def test_salt_per_water_that_remains_is_never_less_than_per_initial_water(
    body: Body, mean: float
) -> None:
    assert body.salt_in_moisture(mean) >= mean * (1 - 1e-12)


def test_a_wheel_worked_by_hand() -> None:
    # 2500 g with 1050 g of water; a field of 4 is 42 g of salt, for which 94.5 g of water left.
    body = Body(2500.0, 1050.0, 2.25)
    assert body.salt(4.0) == pytest.approx(42.0)
    assert body.water_left(4.0) == pytest.approx(955.5)
    assert body.weight_now(4.0) == pytest.approx(2447.5)
    assert body.salt_percent(4.0) == pytest.approx(100 * 42.0 / 2447.5)
    assert body.salt_in_moisture(4.0) == pytest.approx(100 * 42.0 / 955.5)
