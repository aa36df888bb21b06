"""Salt milled into the curd."""

from dataclasses import replace

import pytest

from cavewatch.core.errors import CavewatchError
from cavewatch.core.salting.milled import MilledAsked, milled
from cavewatch.core.salting.target import Basis, Target
from cavewatch.core.style import Style


@pytest.mark.parametrize("target", [None, Target(1.7), Target(4.8, Basis.MOISTURE)])
def test_the_dose_brings_the_pressed_cheese_to_its_target(
    style: Style, target: Target | None
) -> None:
    made = milled(MilledAsked(style, 10_000.0, target, applications=3))
    # The invented style: 1.8 % less 4 % of weight in ageing, 42 % moisture, half of it stays.
    wanted = {None: 1.8 * 0.96}.get(target, target.value if target else 0.0)
    got = made.salt_percent
    if target is not None and target.basis is Basis.MOISTURE:
        got = made.salt_in_moisture
    assert got.expected == pytest.approx(wanted)
    assert got.low < got.expected < got.high
    assert sum(made.applications) == pytest.approx(made.dose)
    kept = made.dose - made.drained.expected
    assert 100.0 * kept / made.cheese.expected == pytest.approx(made.salt_percent.expected)
    assert made.salt_in_moisture.expected == pytest.approx(made.salt_percent.expected / 0.42)


def test_published_doses_are_met_within_their_spread(style: Style) -> None:
    # South Dakota State University, dairy publication 351: 2.7 % of the curd left 1.33 to
    # 1.83 % in cheddar; the dose for the middle of that must be about 2.7 %.
    made = milled(MilledAsked(style, 1000.0, Target(1.57)))
    assert made.dose == pytest.approx(27.0, rel=0.01)
    assert made.salt_percent.low == pytest.approx(1.33, abs=0.03)
    assert made.salt_percent.high == pytest.approx(1.83, abs=0.06)


def test_a_stated_loss_narrows_the_range(style: Style) -> None:
    usual = milled(MilledAsked(style, 5000.0))
    known = milled(MilledAsked(style, 5000.0, retention=0.5))
    assert known.dose == pytest.approx(usual.dose)
    assert known.drains.low == known.drains.high == pytest.approx(0.5)
    assert known.salt_percent.high < usual.salt_percent.high


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"curd": 0.0}, "weight of the curd"),
        ({"applications": 4}, "number of applications is 4; it must lie from 1 to 3"),
        ({"retention": 0.0}, "part of the salt that stays"),
    ],
)
def test_what_no_curd_can_be_is_refused(style: Style, change, said: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(CavewatchError, match=said):
        milled(replace(MilledAsked(style, 5000.0), **change))


def test_a_style_that_is_not_milled_is_refused(style: Style) -> None:
    with pytest.raises(CavewatchError, match="Meadow is not salted in the milled curd"):
        milled(MilledAsked(replace(style, milled=None), 10_000.0))
