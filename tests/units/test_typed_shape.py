"""Typed sizes of a cheese."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch import units
from cavewatch.core.shape import Cuboid, Cylinder, Shape, Sphere
from cavewatch.units import Display, System, UnitError


@pytest.mark.parametrize(
    ("text", "shape"),
    [
        ("7 in x 3 in", Cylinder(17.78, 7.62)),
        ("7 x 3 in", Cylinder(17.78, 7.62)),
        ("7 x 3 in.", Cylinder(17.78, 7.62)),
        ('7" x 3"', Cylinder(17.78, 7.62)),
        ("18 cm × 80 mm", Cylinder(18.0, 8.0)),
        ("wheel 18 by 8 cm", Cylinder(18.0, 8.0)),
        ("18,5*8cm", Cylinder(18.5, 8.0)),
        ("20 x 10 x 8 cm", Cuboid(20.0, 10.0, 8.0)),
        ("200x100x80mm block", Cuboid(20.0, 10.0, 8.0)),
        ("ball 12 cm", Sphere(12.0)),
        ("12 cm ball", Sphere(12.0)),
    ],
)
def test_sizes_are_read(text: str, shape: Shape) -> None:
    assert units.shape(text) == shape


@pytest.mark.parametrize(
    "text",
    [
        "",
        "12 cm",
        "7 in x 3",
        "7 x 3",
        "18 x 0 cm",
        "18 x -8 cm",
        "18 cm wide x 8 cm",
        "2 kg x 3 kg",
        "ball",
        "ball 12",
        "block 18 x 8 cm",
        "wheel 20 x 10 x 8 cm",
        "ball wheel 12 cm",
        "1 x 2 x 3 x 4 cm",
        "x",
        "x cm",
    ],
)
def test_what_is_no_size_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match="is not the size of a cheese"):
        units.shape(text)


sizes = st.floats(1.0, 99.0)
shapes = st.one_of(
    st.builds(Cylinder, sizes, sizes),
    st.builds(Cuboid, sizes, sizes, sizes),
    st.builds(Sphere, sizes),
)


@given(shape=shapes, system=st.sampled_from(System))
def test_a_shown_size_reads_as_the_same_size(shape: Shape, system: System) -> None:
    again = units.shape(Display(system).shape(shape))
    assert type(again) is type(shape)
    # shown to 0.1 cm or 0.1 in
    assert again.volume == pytest.approx(shape.volume, rel=0.5)
    for name in type(shape).__slots__:
        assert getattr(again, name) == pytest.approx(getattr(shape, name), abs=0.1271)
