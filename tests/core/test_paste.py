import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.salting.paste import Face, Paste
from cavewatch.core.shape import Cuboid, Cylinder, Shape, Sphere

lengths = st.floats(4.0, 40.0)
taus = st.floats(1e-3, 30.0)
held = st.dictionaries(st.sampled_from(list(Face)), st.floats(0.0, 40.0))
shapes: st.SearchStrategy[Shape] = st.one_of(
    st.builds(Cylinder, lengths, lengths), st.builds(Sphere, lengths)
)


def salted(paste: Paste, faces: dict[Face, float], tau: float) -> np.ndarray:
    return paste.course(paste.fresh(), faces).salt(tau)


def known(paste: Paste, faces: dict[Face, float]) -> dict[Face, float]:
    return {face: value for face, value in faces.items() if face in paste.faces}


@given(shapes, held, held, taus, taus)
def test_what_comes_in_through_the_faces_is_what_the_paste_holds_more(
    shape: Shape, first: dict[Face, float], then: dict[Face, float], early: float, late: float
) -> None:
    paste = Paste(shape)
    start = salted(paste, known(paste, first), early)
    faces = known(paste, then)
    course = paste.course(start, faces)
    gained = sum(course.through(face, late) for face in faces)
    # `through` is a difference of large numbers: a thin surface cell conducts well.
    assert gained == pytest.approx(paste.mean(course.salt(late)) - paste.mean(start), abs=1e-6)


@given(shapes, held, taus, taus)
def test_a_stage_may_be_cut_anywhere(
    shape: Shape, faces: dict[Face, float], first: float, second: float
) -> None:
    paste = Paste(shape)
    faces = known(paste, faces)
    whole = paste.course(paste.fresh(), faces).salt(first + second)
    cut = paste.course(salted(paste, faces, first), faces).salt(second)
    np.testing.assert_allclose(cut, whole, atol=1e-8)


@given(shapes, held, taus)
def test_salt_stays_between_none_and_the_saltiest_face(
    shape: Shape, faces: dict[Face, float], tau: float
) -> None:
    paste = Paste(shape)
    salt = salted(paste, known(paste, faces), tau)
    assert salt.min() >= -1e-7
    assert salt.max() <= max(faces.values(), default=0.0) + 1e-7


@given(shapes, st.floats(1.0, 40.0), st.floats(1e-3, 0.5), st.floats(1.01, 3.0))
def test_longer_is_saltier(shape: Shape, value: float, tau: float, longer: float) -> None:
    paste = Paste(shape)
    course = paste.course(paste.fresh(), dict.fromkeys(paste.faces, value))
    assert course.mean(tau * longer) > course.mean(tau)


@given(lengths, lengths, st.floats(1.0, 40.0), taus)
def test_turning_exchanges_top_and_bottom(
    diameter: float, height: float, value: float, tau: float
) -> None:
    paste = Paste(Cylinder(diameter, height))
    on_top = salted(paste, {Face.TOP: value}, tau)
    below = salted(paste, {Face.BOTTOM: value}, tau)
    np.testing.assert_allclose(paste.turned(on_top), below, atol=1e-7)


@given(shapes)
def test_a_bare_wheel_evens_out_and_keeps_its_salt(shape: Shape) -> None:
    paste = Paste(shape)
    start = salted(paste, {Face.SIDE: 30.0}, 0.2)
    end = paste.course(start, {}).salt(1e5)
    assert paste.mean(end) == pytest.approx(paste.mean(start), rel=1e-9)
    np.testing.assert_allclose(end, paste.mean(start), rtol=1e-6)


def test_the_mean_of_a_block_conserves_too() -> None:
    paste = Paste(Cuboid(20.0, 12.0, 8.0))
    faces = {Face.SIDE: 20.0, Face.BOTTOM: 10.0}
    course = paste.course(paste.fresh(), faces)
    assert sum(course.through(face, 0.7) for face in faces) == pytest.approx(course.mean(0.7))
