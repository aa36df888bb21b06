"""How a wheel floats, and what it costs to count the side above the line as wet.

The finer computation here is a finite-volume one in two dimensions, implicit in each
direction by turns, on which the side (or a ball's cap) above the line is left bare. It
is held against the core first, with the whole side wet.
"""

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from cavewatch.core.brine.density import density
from cavewatch.core.salting.floating import floating
from cavewatch.core.salting.paste import Face, Held, Paste
from cavewatch.core.shape import Cuboid, Cylinder, Shape, Sphere

Array = NDArray[np.float64]
SIZES = st.floats(5.0, 40.0)
SHAPES: st.SearchStrategy[Shape] = st.one_of(
    st.builds(Cylinder, SIZES, SIZES),
    st.builds(Cuboid, SIZES, SIZES, SIZES),
    st.builds(Sphere, SIZES),
)


@given(SHAPES, st.floats(1.02, 1.12), st.floats(17.0, 26.0), st.floats(4.0, 25.0))
def test_the_brine_pushed_aside_weighs_as_much_as_the_wheel(
    shape: Shape, paste: float, strength: float, temperature: float
) -> None:
    found = floating(shape, paste, strength, temperature)
    brine = density(strength, temperature) / 1000.0
    if isinstance(shape, Sphere):
        above = math.pi * found.above**2 * (1.5 * shape.diameter - found.above) / 3
        assert found.dry == pytest.approx(found.above / shape.diameter, rel=1e-9, abs=1e-9)
    else:
        above = shape.volume * found.above / shape.height
        bare = shape.face + (shape.area - 2 * shape.face) * found.above / shape.height
        assert found.dry * shape.area == pytest.approx(bare if above > 0 else 0.0)
    below = shape.volume - above
    assert brine * below <= paste * shape.volume * (1 + 1e-9)
    if found.above > 0:
        assert brine * below == pytest.approx(paste * shape.volume)
    assert (found.paste, found.brine) == (paste, brine)


def test_a_wheel_denser_than_its_brine_is_wet_all_over() -> None:
    sunk = floating(Cylinder(20.0, 8.0), 1.10, 8.0, 12.0)
    assert sunk.above == 0.0
    assert sunk.dry == 0.0


def test_a_few_millimetres_stand_out() -> None:
    # 1.08 g/cm3 in brine of 20 % at 12 degC, 1.152 g/cm3: a sixteenth of the height.
    found = floating(Cylinder(20.0, 7.4), 1.08, 20.0, 12.0)
    assert found.above == pytest.approx(0.46, abs=0.01)


class Section:
    """A body of revolution in two directions, each implicit in its turn."""

    def __init__(
        self, volumes: Array, inner: tuple[Array, Array], surfaces: dict[str, Array]
    ) -> None:
        self.volumes = volumes
        self.inner = inner
        self.surfaces = surfaces
        """Conductance to what lies outside, in each cell (0: none)."""

    def mean(self, salt: Array) -> float:
        return float((salt * self.volumes).sum() / self.volumes.sum())

    def after(self, salt: Array, tau: float, wet: Sequence[str], steps: int) -> Array:
        """The salt after `tau` with these surfaces held at 1, in steps that widen."""
        outside = [np.zeros_like(salt), np.zeros_like(salt)]
        for name in wet:
            outside[0 if name.startswith("side") else 1] += self.surfaces[name]
        times = tau * np.linspace(0.0, 1.0, steps + 1) ** 2
        for step in np.diff(times):
            for axis in (0, 1):
                salt = self._implicit(salt, float(step), axis, outside[axis])
        return salt

    def _implicit(self, salt: Array, step: float, axis: int, outside: Array) -> Array:
        turn = np.transpose if axis else np.asarray
        volumes, inner, held = turn(self.volumes), turn(self.inner[axis]), turn(outside)
        none = np.zeros((1, inner.shape[1]))
        low, high = np.vstack((none, inner)), np.vstack((inner, none))
        diagonal = volumes + step * (low + high + held)
        right = volumes * turn(salt) + step * held
        # Thomas' algorithm, all lines at once.
        factor, solved = np.empty_like(right), np.empty_like(right)
        factor[0], solved[0] = -step * high[0] / diagonal[0], right[0] / diagonal[0]
        for i in range(1, len(right)):
            pivot = diagonal[i] + step * low[i] * factor[i - 1]
            factor[i] = -step * high[i] / pivot
            solved[i] = (right[i] + step * low[i] * solved[i - 1]) / pivot
        for i in range(len(right) - 2, -1, -1):
            solved[i] -= factor[i] * solved[i + 1]
        return turn(solved)


def crowded(count: int, both: bool) -> Array:
    """Edges on 0..1, crowded towards 1, or towards both ends."""
    s = np.linspace(-1.0 if both else 0.0, 1.0, count + 1)
    edges = np.tanh(2.4 * s) / np.tanh(2.4)
    return (edges + 1) / 2 if both else edges


def lying(shape: Cylinder, above: float) -> Section:
    """A wheel whose side is wet up to `above` from its top."""
    r = shape.diameter / 2 * crowded(60, both=False)
    # Alike from both ends, since the wheel is turned; the line is an edge.
    end = above * crowded(24, both=True)
    middle = above + (shape.height - 2 * above) * crowded(80, both=True)
    z = np.concatenate((end[:-1], middle, shape.height - end[-2::-1])) if above else middle
    r_mid, z_mid = (r[1:] + r[:-1]) / 2, (z[1:] + z[:-1]) / 2
    rings, heights = np.diff(r**2) / 2, np.diff(z)
    inner = (
        np.outer(r[1:-1] / np.diff(r_mid), heights),
        np.outer(rings, 1.0 / np.diff(z_mid)),
    )
    side, bottom, top = (np.zeros((len(rings), len(heights))) for _ in range(3))
    side[-1] = r[-1] / (r[-1] - r_mid[-1]) * heights * (z_mid < shape.height - above)
    bottom[:, 0] = rings / (z_mid[0] - z[0])
    top[:, -1] = rings / (z[-1] - z_mid[-1])
    return Section(np.outer(rings, heights), inner, {"side": side, "bottom": bottom, "top": top})


def afloat(diameter: float, dry: float) -> Section:
    """A ball of which the cap with this share of the surface stands out."""
    r = diameter / 2 * crowded(60, both=False)
    line = 1.0 - 2.0 * dry
    even = np.linspace(0.0, 1.0, 46)
    mu = np.unique(np.concatenate((-1 + (line + 1) * even, line + (1 - line) * even)))
    # As often upside down: the line must lie on an edge both ways.
    mu = np.unique(np.round(np.concatenate((mu, -mu)), 12))
    r_mid, mu_mid = (r[1:] + r[:-1]) / 2, (mu[1:] + mu[:-1]) / 2
    shells, bands = np.diff(r**3) / 3, np.diff(mu)
    inner = (
        np.outer(r[1:-1] ** 2 / np.diff(r_mid), bands),
        np.outer(np.diff(r), (1 - mu[1:-1] ** 2) / np.diff(mu_mid)),
    )
    side, whole = np.zeros((60, len(bands))), np.zeros((60, len(bands)))
    whole[-1] = r[-1] ** 2 / (r[-1] - r_mid[-1]) * bands
    side[-1] = whole[-1] * (mu_mid < line)
    return Section(np.outer(shells, bands), inner, {"side": side, "side all round": whole})


ENOUGH = 60
"""Steps in a stage; twice as many change the ratios below by 0.2 %."""
CLOCK = 0.15
"""[cm2]: about a day and a half of brining."""
WHEELS = [Cylinder(20.0, 7.4), Cylinder(12.0, 12.0)]


def counted(shape: Shape, faces: Sequence[Face], tau: float, parts: int) -> float:
    """The mean by the core after some stages of equal length, with a turn between them."""
    paste = Paste(shape)
    salt = paste.fresh()
    for _ in range(parts):
        salt = paste.course(salt, dict.fromkeys(faces, Held(1.0))).salt(tau / parts)
        salt = salt[..., ::-1] if Face.TOP in paste.faces else salt
    return paste.mean(salt)


def finer(section: Section, wet: Sequence[str], tau: float, parts: int) -> float:
    """The same by the finer computation."""
    salt = np.zeros_like(section.volumes)
    for _ in range(parts):
        salt = section.after(salt, tau / parts, wet, ENOUGH)[:, ::-1]
    return section.mean(salt)


@pytest.mark.parametrize("shape", WHEELS, ids=str)
@pytest.mark.parametrize("parts", [1, 2])
def test_the_finer_computation_agrees_on_a_wheel_whose_whole_side_is_wet(
    shape: Cylinder, parts: int
) -> None:
    found = finer(lying(shape, 0.0), ["side", "bottom"], CLOCK, parts)
    assert found == pytest.approx(counted(shape, [Face.SIDE, Face.BOTTOM], CLOCK, parts), rel=0.005)


def test_the_finer_computation_agrees_on_a_ball_that_is_wet_all_round() -> None:
    found = finer(afloat(16.0, 0.15), ["side all round"], CLOCK, 1)
    assert found == pytest.approx(counted(Sphere(16.0), [Face.SIDE], CLOCK, 1), rel=0.005)


# Brine of 22 % floats a wheel the highest of all that the model speaks for.
AFLOAT = pytest.mark.parametrize(
    ("shape", "strength"), [(shape, strength) for shape in WHEELS for strength in (18.0, 22.0)]
)


def too_much(shape: Cylinder, strength: float, parts: int) -> tuple[float, float]:
    """What the core adds by counting the side above the line, and that side's area over the
    wet one."""
    above = floating(shape, 1.08, strength, 12.0).above
    fine = finer(lying(shape, above), ["side", "bottom"], CLOCK, parts)
    band = math.pi * shape.diameter * above
    wet = shape.face + math.pi * shape.diameter * shape.height - band
    return counted(shape, [Face.SIDE, Face.BOTTOM], CLOCK, parts) / fine - 1, band / wet


@AFLOAT
def test_the_side_above_the_line_adds_less_than_its_area(shape: Cylinder, strength: float) -> None:
    # Reached for a wheel that is never turned: 2 % (flat, 18 %) to 6 % (tall, 22 %).
    over, share = too_much(shape, strength, 1)
    assert 0.6 * share < over < share < 0.07


@AFLOAT
def test_on_a_wheel_that_is_turned_the_side_above_the_line_adds_a_fortieth_at_most(
    shape: Cylinder, strength: float
) -> None:
    # Either end of the side is wet in its turn. Reached: 0.8 to 2.3 %.
    over, _ = too_much(shape, strength, 2)
    assert 0.0 < over < 0.025


@pytest.mark.parametrize(("rolls", "low", "high"), [(0, -0.01, 0.01), (1, -0.08, 0), (3, -0.1, 0)])
def test_a_balls_dry_share_takes_off_what_it_does_on_one_that_lies_still(
    rolls: int, low: float, high: float
) -> None:
    # Reached in brine of 20 %, of which 15 % of the ball stands out: 0.4 % too much on a ball
    # that lies still, 6.5 % too little on one rolled over once, 9 % on one rolled three times.
    ball = Sphere(16.0)
    dry = floating(ball, 1.08, 20.0, 12.0).dry
    fine = finer(afloat(ball.diameter, dry), ["side"], CLOCK, rolls + 1)
    assert low < counted(ball, [Face.SIDE], (1 - dry) ** 2 * CLOCK, 1) / fine - 1 < high
