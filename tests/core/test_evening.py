"""After salting: when the paste is even, and the cut through it."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.salting.clock import warmth_factor
from cavewatch.core.salting.evening import EVEN, LONGEST, cut, even_after
from cavewatch.core.salting.paste import Face, Held, Paste
from cavewatch.core.shape import Cuboid, Cylinder, Shape, Sphere
from cavewatch.core.style import Figure

D = Figure(0.18, 0.1, 0.3, "invented")
SIZES = st.floats(5.0, 30.0)
SHAPES: st.SearchStrategy[Shape] = st.one_of(
    st.builds(Cylinder, SIZES, SIZES), st.builds(Sphere, SIZES)
)


def brined(paste: Paste, tau: float = 0.2, *faces: Face) -> np.ndarray:
    held = dict.fromkeys(faces or paste.faces, Held(20.0))
    return paste.course(paste.fresh(), held).salt(tau)


def unevenness(paste: Paste, salt: np.ndarray) -> float:
    return float(salt.max() - salt.min()) / paste.mean(salt)


@given(SHAPES, st.booleans())
def test_when_it_is_said_to_be_even_its_extremes_are_within_a_tenth(
    shape: Shape, one_side: bool
) -> None:
    paste = Paste(shape)
    salt = brined(paste, 0.2, *([Face.BOTTOM] if one_side and Face.TOP in paste.faces else []))
    days = even_after(paste, salt, D, 12.0)
    if days.expected in (0.0, LONGEST):
        return
    then = paste.course(salt, {}).salt(D.value * days.expected)
    # Not every cell is looked at, and the time is found to 0.2 %.
    assert unevenness(paste, then) == pytest.approx(EVEN, rel=0.02)


def test_a_long_wheel_salted_at_one_end_evens_out_like_the_slowest_mode() -> None:
    # Crank: from a thin layer at one end of a slab of height h, the extremes come within a
    # tenth of the mean when 4 exp(-pi^2 D t / h^2) = 0.1.
    paste = Paste(Cylinder(10.0, 10.0))
    salt = brined(paste, 1e-4, Face.BOTTOM)
    days = even_after(paste, salt, D, 12.0)
    assert days.expected == pytest.approx(
        math.log(4 / EVEN) * 10.0**2 / math.pi**2 / D.value, rel=0.01
    )


def test_the_band_is_that_of_the_paste_and_warmth_hastens_it() -> None:
    paste = Paste(Cylinder(18.0, 8.0))
    salt = brined(paste)
    cold, warm = (even_after(paste, salt, D, t) for t in (12.0, 18.0))
    assert cold.low * D.high == pytest.approx(cold.expected * D.value)
    assert cold.high * D.low == pytest.approx(cold.expected * D.value)
    assert cold.expected / warm.expected == pytest.approx(warmth_factor(18.0))


def test_larger_wheels_take_longer_as_the_square_of_their_size() -> None:
    times = []
    for size in (1.0, 2.0):
        paste = Paste(Cylinder(12.0 * size, 6.0 * size))
        times.append(even_after(paste, brined(paste, 0.1 * size**2), D, 12.0).expected)
    assert times[1] == pytest.approx(4 * times[0], rel=0.005)


def test_what_is_even_already_or_has_no_salt_takes_no_time() -> None:
    paste = Paste(Cylinder(18.0, 8.0))
    assert even_after(paste, paste.fresh() + 3.0, D, 12.0).high == 0.0
    assert even_after(paste, paste.fresh(), D, 12.0).high == 0.0


def test_nothing_is_said_beyond_ten_years() -> None:
    paste = Paste(Cylinder(120.0, 120.0))
    days = even_after(paste, brined(paste), D, 12.0)
    assert days.expected == days.high == LONGEST


def test_the_cut_of_a_wheel_has_its_top_first_and_its_middle_at_the_left() -> None:
    paste = Paste(Cylinder(18.0, 8.0))
    faces = {Face.TOP: Held(30.0), Face.SIDE: Held(10.0)}
    drawn = cut(paste, paste.course(paste.fresh(), faces).salt(0.5), across=24, up=16)
    assert drawn.shape == (16, 24)
    assert drawn[0, 0] > 10 * drawn[-1, 0]
    assert drawn[-1, -1] > 10 * drawn[-1, 0]
    assert (np.diff(drawn[:, 0]) <= 1e-9).all()
    assert (np.diff(drawn[-1]) >= -1e-9).all()


@pytest.mark.parametrize("across", [10, 40])
def test_the_cut_shows_the_salt_at_its_depth(across: int) -> None:
    # Long after: the salt of a slab held at both ends, 20 (1 - 4/pi cos(pi x) exp(-pi^2 Fo/4)...).
    paste = Paste(Cylinder(40.0, 8.0))
    tau = 0.4 * 4.0**2
    faces = dict.fromkeys((Face.TOP, Face.BOTTOM), Held(20.0))
    drawn = cut(paste, paste.course(paste.fresh(), faces).salt(tau), across=across, up=20)
    depths = (np.arange(20) + 0.5) / 20 * 2 - 1
    series = 20 * (
        1 - 4 / math.pi * np.cos(math.pi / 2 * depths) * math.exp(-(math.pi**2) / 4 * 0.4)
    )
    # The nearest cell is at most a twentieth of the half height away.
    np.testing.assert_allclose(drawn[:, 0], series, atol=1.0)
    assert np.ptp(drawn, axis=1).max() < 1e-9


def test_the_cut_of_a_ball_is_round_and_saltier_outside() -> None:
    paste = Paste(Sphere(16.0))
    drawn = cut(paste, brined(paste, 0.5), across=20, up=40)
    assert math.isnan(drawn[0, -1])
    assert math.isnan(drawn[-1, -1])
    inside = np.count_nonzero(~np.isnan(drawn)) / drawn.size
    assert inside == pytest.approx(math.pi / 4, abs=0.03)
    np.testing.assert_array_equal(drawn, drawn[::-1])
    assert drawn[20, -1] > 5 * drawn[20, 0]


def test_a_block_is_cut_half_way_along_its_width() -> None:
    paste = Paste(Cuboid(20.0, 12.0, 8.0))
    salt = brined(paste, 0.3)
    drawn = cut(paste, salt, across=12, up=8)
    assert drawn.shape == (8, 12)
    assert drawn.min() >= salt[:, 0, :].min() - 1e-12
    assert drawn[4, 0] < 0.2 * drawn[4, -1]
