import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.brine.acid import vinegar
from cavewatch.core.brine.calcium import ANHYDROUS, DIHYDRATE, CalciumSource, solution
from cavewatch.core.brine.density import density, with_calcium
from cavewatch.core.brine.mixing import from_volume, litres, mix
from cavewatch.core.errors import CavewatchError, OutOfRangeError

WATER = st.floats(100.0, 1e6)
STRENGTH = st.floats(0.0, 26.0)
CALCIUM = st.sampled_from([ANHYDROUS, DIHYDRATE, solution(33.0), solution(30.0)])
CALCIUM_PERCENT = st.floats(0.0, 0.5)
ACID = st.floats(0.0, 20.0)


def test_salt_and_water_alone_are_mixed_by_weight() -> None:
    recipe = mix(80.0, 20.0)
    assert recipe.salt == pytest.approx(20.0)
    assert recipe.mass == pytest.approx(100.0)
    assert (recipe.calcium, recipe.acid) == (0.0, 0.0)


@given(WATER, STRENGTH, CALCIUM, CALCIUM_PERCENT, ACID)
def test_a_recipe_carried_out_on_the_scales_gives_what_was_asked(
    water: float, strength: float, calcium: CalciumSource, percent: float, acid: float
) -> None:
    recipe = mix(water, strength, calcium, percent, vinegar(), acid)
    on_the_scales = recipe.water + recipe.salt + recipe.calcium + recipe.acid
    assert recipe.water == water
    assert recipe.mass == pytest.approx(on_the_scales, rel=1e-12)
    assert 100.0 * recipe.salt / on_the_scales == pytest.approx(strength, abs=1e-9)
    assert recipe.calcium * calcium.content / on_the_scales == pytest.approx(percent, abs=1e-9)
    assert recipe.acid / recipe.water * 1000.0 == pytest.approx(acid, abs=1e-9)
    assert recipe.strength == pytest.approx(strength, abs=1e-9)


@given(WATER, STRENGTH, CALCIUM_PERCENT)
def test_the_water_of_a_solution_counts(water: float, strength: float, percent: float) -> None:
    dissolved = mix(water, strength, solution(33.0), percent)
    brought = dissolved.calcium * 0.67
    dry = mix(water + brought, strength, ANHYDROUS, percent)
    assert dissolved.salt == pytest.approx(dry.salt, rel=1e-9, abs=1e-9)
    assert dissolved.mass == pytest.approx(dry.mass, rel=1e-9)


@given(
    st.floats(1.0, 1000.0),
    st.floats(0.0, 26.0),
    st.floats(0.1, 40.0),
    CALCIUM,
    CALCIUM_PERCENT,
    ACID,
)
def test_a_volume_asked_for_is_the_volume_that_comes(
    volume: float,
    strength: float,
    temperature: float,
    calcium: CalciumSource,
    percent: float,
    acid: float,
) -> None:
    recipe = from_volume(volume, strength, temperature, calcium, percent, vinegar(), acid)
    assert litres(recipe, temperature, percent) == pytest.approx(volume, rel=1e-9)
    heavy = with_calcium(density(strength, temperature), percent, temperature)
    assert recipe.mass / heavy == pytest.approx(volume, rel=1e-9)
    assert recipe.strength == pytest.approx(strength, abs=1e-9)


def test_stronger_than_saturated_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="strength is 30"):
        mix(1000.0, 30.0)


def test_a_dose_without_its_product_is_refused_by_name() -> None:
    with pytest.raises(CavewatchError, match=r"0\.1 % calcium chloride .* name the product"):
        mix(1000.0, 20.0, calcium_percent=0.1)
    with pytest.raises(CavewatchError, match=r"3 g of acid .* name the product"):
        mix(1000.0, 20.0, acid_per_kg=3.0)


def test_a_calcium_solution_too_thin_for_the_brine_is_refused() -> None:
    with pytest.raises(CavewatchError, match="5 % solution is too thin to bring 4 %"):
        mix(1000.0, 20.0, solution(5.0), 4.0)


@pytest.mark.parametrize("percent", [0.0, 36.8, float("nan")])
def test_a_calcium_solution_that_does_not_exist_is_refused(percent: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"from 1 to 36\.7"):
        solution(percent)
