"""The diffusion core against the textbook series.

Source: Crank, The Mathematics of Diffusion, 2nd ed. 1975: fractional uptake of a
slab (p. 48), a cylinder (from memory: 1 - 4 sum exp(-a_n^2 Fo)/a_n^2) and a
sphere (p. 91) from an infinite bath, Fo = D t / L^2 with L the half thickness
or radius. The values were summed with mpmath from those series; the slab and
sphere forms were read as reprinted, no printed table was. Finite shapes follow
by Newman's product rule (from memory; confirmed by a two-dimensional finite
volume run). Agreement asked and reached: 0.1 % of the uptake, from Fo = 0.001.
"""

import pytest

from cavewatch.core.salting.paste import Face, Faces, Paste
from cavewatch.core.shape import Cuboid, Cylinder, Sphere

SERIES = [
    # Fo, slab, cylinder, sphere
    (0.001, 0.035682, 0.070359, 0.104047),
    (0.01, 0.112838, 0.215474, 0.308514),
    (0.05, 0.252313, 0.452121, 0.606940),
    (0.1, 0.356823, 0.605824, 0.770479),
    (0.2, 0.504088, 0.782148, 0.915496),
    (0.5, 0.763950, 0.961621, 0.995628),
    (1.0, 0.931260, 0.997870, 0.999969),
]
ENDS: Faces = {Face.TOP: 1.0, Face.BOTTOM: 1.0}
SIDE: Faces = {Face.SIDE: 1.0}
ALL: Faces = {**ENDS, **SIDE}


def uptake(paste: Paste, faces: Faces, tau: float) -> float:
    return paste.course(paste.fresh(), faces).mean(tau)


@pytest.mark.parametrize(("fo", "slab", "cylinder", "sphere"), SERIES)
def test_mean_uptake_is_within_a_thousandth_of_the_series(
    fo: float, slab: float, cylinder: float, sphere: float
) -> None:
    wheel, ball = Paste(Cylinder(2.0, 2.0)), Paste(Sphere(2.0))
    assert uptake(wheel, ENDS, fo) == pytest.approx(slab, rel=1e-3)
    assert uptake(wheel, SIDE, fo) == pytest.approx(cylinder, rel=1e-3)
    assert uptake(ball, SIDE, fo) == pytest.approx(sphere, rel=1e-3)


@pytest.mark.parametrize(("fo", "slab", "cylinder"), [row[:3] for row in SERIES])
def test_whole_shapes_follow_newmans_product_rule(fo: float, slab: float, cylinder: float) -> None:
    wheel, block = Paste(Cylinder(2.0, 2.0)), Paste(Cuboid(2.0, 2.0, 2.0))
    assert uptake(wheel, ALL, fo) == pytest.approx(1 - (1 - slab) * (1 - cylinder), rel=1e-3)
    assert uptake(block, ALL, fo) == pytest.approx(1 - (1 - slab) ** 3, rel=1e-3)


@pytest.mark.parametrize(
    ("shape", "faces", "half"),
    [
        (Cylinder(2.0, 2.0), ENDS, 0.196731),
        (Cylinder(2.0, 2.0), SIDE, 0.063058),
        (Sphere(2.0), SIDE, 0.030547),
    ],
    ids=["slab", "cylinder", "sphere"],
)
def test_half_uptake_is_reached_when_the_series_says(
    shape: Cylinder | Sphere, faces: Faces, half: float
) -> None:
    # Fo for half uptake: roots of the same series, found with mpmath.
    assert uptake(Paste(shape), faces, half) == pytest.approx(0.5, rel=1e-3)


def test_one_face_takes_up_what_a_slab_twice_as_thick_does() -> None:
    # A bare face is a mirror plane: L is then the whole height, so Fo = tau / 4.
    wheel = Paste(Cylinder(50.0, 2.0))
    assert uptake(wheel, {Face.TOP: 1.0}, 0.4) == pytest.approx(0.356823, rel=1e-3)
