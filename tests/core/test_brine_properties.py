import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.brine.properties import EUTECTIC, freezing_point, properties, water_activity
from cavewatch.core.brine.strength import STRONGEST, saturation
from cavewatch.core.errors import OutOfRangeError


@given(st.floats(0.0, EUTECTIC - 0.01))
def test_stronger_brine_freezes_colder(strength: float) -> None:
    assert freezing_point(strength + 0.01) < freezing_point(strength)


@given(st.floats(0.0, STRONGEST - 0.01), st.floats(0.0, 40.0))
def test_stronger_brine_leaves_less_water_free(strength: float, temperature: float) -> None:
    assert water_activity(strength + 0.01, temperature) < water_activity(strength, temperature)


def test_water_freezes_at_zero_and_is_all_free() -> None:
    assert freezing_point(0.0) == 0.0
    assert water_activity(0.0, 12.0) == 1.0


def test_a_usual_brine_has_every_property() -> None:
    brine = properties(20.0, 12.0)
    assert brine.strength_percent == 20.0
    assert brine.saturation_percent == saturation(12.0)
    assert brine.share_of_saturation_percent == pytest.approx(100 * 20.0 / saturation(12.0))
    assert brine.density_kg_m3 == pytest.approx(1151.4, abs=0.7)
    assert brine.sg_60_60 == pytest.approx(1.151, abs=0.001)
    assert brine.baume == pytest.approx(19.0, abs=0.1)
    assert brine.salometer == pytest.approx(75.8, abs=0.1)
    assert brine.grams_per_litre == pytest.approx(0.2 * brine.density_kg_m3)
    assert brine.freezing_point_c == pytest.approx(-16.46, abs=0.02)
    assert brine.water_activity == pytest.approx(0.841, abs=0.002)
    assert brine.notes == ()


def test_what_a_strong_brine_has_not_is_left_out_and_says_why() -> None:
    brine = properties(26.44, 20.0)
    assert brine.salometer is None
    assert brine.freezing_point_c is None
    assert brine.sg_60_60 == pytest.approx(1.204, abs=0.001)
    assert [note.split(":")[0] for note in brine.notes] == [
        "no degrees salometer",
        "no freezing point",
    ]


def test_hot_brine_has_no_water_activity() -> None:
    brine = properties(20.0, 50.0)
    assert brine.water_activity is None
    assert brine.notes == (
        "no water activity: temperature is 50 degC; it must lie from 0 to 40 degC",
    )


@pytest.mark.parametrize(("strength", "temperature"), [(26.5, 12.0), (-1.0, 12.0), (20.0, 80.0)])
def test_what_is_no_brine_has_no_properties(strength: float, temperature: float) -> None:
    with pytest.raises(OutOfRangeError):
        properties(strength, temperature)
