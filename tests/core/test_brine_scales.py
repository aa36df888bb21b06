"""Density and the scales: there and back, always rising, nothing beyond their ends."""

from collections.abc import Callable
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.brine import density as dens
from cavewatch.core.brine import scales
from cavewatch.core.brine.strength import SATURATED_AT_60F, SIXTY_F, STRONGEST
from cavewatch.core.errors import OutOfRangeError

Conversion = Callable[[float], float]

PAIRS: dict[str, tuple[Conversion, Conversion, float]] = {
    f"SG at {t:.4g}": (
        partial(scales.to_sg, reference=t),
        partial(scales.from_sg, reference=t),
        STRONGEST,
    )
    for t in (15.0, SIXTY_F, 20.0)
}
PAIRS |= {
    f"Baume of {m}": (
        partial(scales.to_baume, modulus=m),
        partial(scales.from_baume, modulus=m),
        STRONGEST,
    )
    for m in (scales.HEAVY, scales.GERLACH)
}
PAIRS |= {
    f"g/L at {t}": (
        partial(scales.to_grams_per_litre, temperature=t),
        partial(scales.from_grams_per_litre, temperature=t),
        STRONGEST,
    )
    for t in (0.0, 12.0, 60.0)
}
PAIRS |= {
    f"density at {t}": (
        partial(dens.density, temperature=t),
        partial(dens.strength_of, temperature=t),
        STRONGEST,
    )
    for t in (0.0, 12.0, 60.0)
}
PAIRS["salometer"] = (scales.to_salometer, scales.from_salometer, SATURATED_AT_60F)
PAIRS["lb/gal"] = (scales.to_pounds_per_gallon, scales.from_pounds_per_gallon, STRONGEST)

every_scale = pytest.mark.parametrize("scale", PAIRS)


@every_scale
@given(share=st.floats(0.0, 1.0))
def test_there_and_back_is_the_same_strength(scale: str, share: float) -> None:
    to, back, strongest = PAIRS[scale]
    assert back(to(share * strongest)) == pytest.approx(share * strongest, abs=1e-6)


@every_scale
@given(share=st.floats(0.0, 1.0))
def test_back_and_there_is_the_same_reading(scale: str, share: float) -> None:
    to, back, strongest = PAIRS[scale]
    value = to(0.0) + share * (to(strongest) - to(0.0))
    assert to(back(value)) == pytest.approx(value, abs=1e-6)


@every_scale
@given(share=st.floats(0.0, 0.999))
def test_stronger_brine_reads_higher(scale: str, share: float) -> None:
    to, _, strongest = PAIRS[scale]
    assert to(strongest * (share + 0.001)) > to(strongest * share)


@every_scale
def test_nothing_below_water_or_beyond_the_strongest_brine(scale: str) -> None:
    to, back, strongest = PAIRS[scale]
    lowest, highest = to(0.0), to(strongest)
    step = (highest - lowest) / 1000
    for value in (lowest - step, highest + step, float("nan"), float("inf")):
        with pytest.raises(OutOfRangeError):
            back(value)
    for strength in (-0.01, strongest + 0.01, float("nan")):
        with pytest.raises(OutOfRangeError):
            to(strength)


@given(st.floats(0.0, STRONGEST), st.floats(5.0, 59.0))
def test_warm_brine_is_lighter(strength: float, temperature: float) -> None:
    assert dens.density(strength, temperature + 1) < dens.density(strength, temperature)


@given(st.floats(1000.0, 1210.0), st.floats(0.0, 5.0), st.floats(0.0, 60.0))
def test_calcium_put_in_and_taken_out_changes_nothing(
    plain: float, calcium: float, temperature: float
) -> None:
    mixed = dens.with_calcium(plain, calcium, temperature)
    assert mixed >= plain - 1e-9
    assert dens.without_calcium(mixed, calcium, temperature) == pytest.approx(plain, abs=1e-9)


def test_more_calcium_than_a_brine_carries_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="calcium chloride is 30 % w/w"):
        dens.with_calcium(1150.0, 30.0, 12.0)


def test_a_refusal_names_the_scale_and_its_ends() -> None:
    with pytest.raises(
        OutOfRangeError, match=r"Baume reading is 60 degrees; it must lie from 0 to"
    ):
        scales.from_baume(60.0)
