"""When a floating wheel is turned: both flat faces have taken up the same by the lift."""

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.salting.crossing import HORIZON, first_crossing
from cavewatch.core.salting.paste import Paste
from cavewatch.core.salting.salted import PLENTY, Track, Uptake
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.salting.turning import LONGEST, Turning, turned, turning
from cavewatch.core.shape import Cuboid, Cylinder, Shape, Sphere
from cavewatch.core.wheel import Event, Happening

H = 3600.0
WHEEL = Cylinder(20.0, 7.4)
TUB = {"tub": Surroundings(WarmthRecord([0.0], [12.0]), ((0.0, 20.0),))}
IN = Happening(0.0, Event.IN, "tub")
FACE = Happening(0.0, Event.SALTED, "tub", PLENTY)


def uptake(shape: Shape = WHEEL, diffusivity: float = 0.09) -> Uptake:
    usual: dict[str, Any] = {"rate": 1.0, "dry_rate": 0.4, "retention": 0.65, "floats": True}
    body = Body(2500.0, 1050.0, 2.25)
    return Uptake(paste=Paste(shape), body=body, diffusivity=diffusivity, **usual)


def at_level(level: float, since: float = 0.0) -> Callable[[Track], float]:
    def lifted(track: Track) -> float:
        found = first_crossing(track.mean, level, since)
        return since + HORIZON if found is None else found

    return lifted


def planned(wheel: Uptake, level: float, salted: bool = True) -> Turning:
    track = Track.of(wheel, TUB, [IN, FACE] if salted else [IN])
    return turning(track, at_level(level), 0.0, 0.0, 0, salted)


shapes = pytest.mark.parametrize(
    "shape", [WHEEL, Cylinder(12.0, 12.0), Cuboid(20.0, 14.0, 8.0)], ids=["flat", "tall", "block"]
)


@shapes
def test_with_a_bare_top_the_turn_tends_to_half_time_as_the_fourier_number_goes_to_zero(
    shape: Shape,
) -> None:
    # Brinings of about 20 h of ever slower paste: a quarter of the Fourier number each time.
    short = []
    for slower in (1.0, 4.0, 16.0):
        plan = planned(uptake(shape, 0.09 / slower), 2.4 / slower**0.5, salted=False)
        assert len(plan.turns) == 1
        short.append(0.5 - plan.turns[0] / plan.lift)
    # It falls short by what came in through the side meanwhile, as the root of that number.
    assert 0.01 < short[0] < 0.03
    assert short[1] == pytest.approx(short[0] / 2, rel=0.1)
    assert short[2] == pytest.approx(short[0] / 4, rel=0.1)


@shapes
def test_with_salt_on_top_the_turn_is_at_three_quarters_of_the_time(shape: Shape) -> None:
    plan = planned(uptake(shape), 2.4)
    assert plan.turns == pytest.approx((0.75 * plan.lift,), rel=0.02)


@given(
    st.sampled_from([WHEEL, Cylinder(12.0, 12.0), Cylinder(30.0, 5.0)]),
    st.floats(1.0, 9.0),
    st.booleans(),
)
def test_both_faces_have_taken_up_the_same_by_the_lift(
    shape: Shape, level: float, salted: bool
) -> None:
    plan = planned(uptake(shape), level, salted)
    top, bottom = plan.track.flat(plan.lift)
    # The turn is found to 20 s, the lift to 1 s, of two hours and more.
    assert top == pytest.approx(bottom, rel=0.003)
    assert plan.track.mean(plan.lift) == pytest.approx(level, rel=1e-4)


@given(st.floats(1.0, 9.0), st.booleans())
def test_a_long_brining_has_an_odd_number_of_turns_a_day_apart(level: float, salted: bool) -> None:
    plan = planned(uptake(), level, salted)
    count = len(plan.turns)
    stops = [0.0, *plan.turns]
    gaps = [end - start for start, end in pairwise(stops)]
    assert count % 2 == 1
    assert max(gaps) == pytest.approx(min(gaps), abs=2.0)
    # A day on the average, and no more turns than that needs. A bare top makes a brining with
    # more turns up to 10 % shorter, so that near the border either number is right.
    assert plan.lift / (count + 1) <= 1.1 * LONGEST
    assert count == 1 or plan.lift / (count - 1) > 0.9 * LONGEST


def test_after_a_late_turn_only_the_lift_is_left() -> None:
    plan = planned(uptake(), 3.0)
    late = plan.turns[0] + 4 * H
    track = turned(Track.of(uptake(), TUB, [IN, FACE]), (late,))
    rest = turning(track, at_level(3.0, late), 0.0, late, 1)
    assert rest.turns == ()
    top, bottom = rest.track.flat(rest.lift)
    # What went in under the salt went on longer.
    assert top < bottom


def test_what_is_left_of_a_long_brining_makes_up_for_a_late_turn() -> None:
    wheel = uptake()
    plan = planned(wheel, 6.0)
    assert len(plan.turns) == 3
    late = plan.turns[0] + 6 * H
    track = turned(Track.of(wheel, TUB, [IN, FACE]), (late,))
    rest = turning(track, at_level(6.0, late), 0.0, late, 1)
    assert len(rest.turns) == 2
    assert late < rest.turns[0] < rest.turns[1] < rest.lift
    top, bottom = rest.track.flat(rest.lift)
    assert top == pytest.approx(bottom, rel=0.003)


def test_a_ball_is_rolled_once_a_day_and_takes_no_salt_on_top() -> None:
    plan = planned(uptake(Sphere(22.0)), 4.0, salted=False)
    again = planned(uptake(Sphere(22.0)), 4.0)
    assert plan.turns == again.turns
    assert plan.turns[0] == pytest.approx(plan.lift / (len(plan.turns) + 1), abs=1.0)
