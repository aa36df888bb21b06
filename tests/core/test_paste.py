"""One stage of a paste, and stages put together, whatever its faces are held at."""

from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.salting import axis, paste
from cavewatch.core.salting.paste import Face, Faces, Held, Paste
from cavewatch.core.shape import Cuboid, Cylinder, Shape, Sphere

lengths = st.floats(4.0, 40.0)
taus = st.floats(1e-3, 30.0)
values = st.floats(0.0, 40.0)
held = st.dictionaries(st.sampled_from(list(Face)), st.builds(Held, values, st.booleans()))
wet = st.dictionaries(st.sampled_from(list(Face)), st.builds(Held, values, st.just(False)))
wheels = st.builds(Cylinder, lengths, lengths)
shapes: st.SearchStrategy[Shape] = st.one_of(wheels, st.builds(Sphere, lengths))

SWAPPED = {Face.TOP: Face.BOTTOM, Face.BOTTOM: Face.TOP, Face.SIDE: Face.SIDE}


def salted(paste: Paste, faces: Faces, tau: float) -> np.ndarray:
    return paste.course(paste.fresh(), faces).salt(tau)


def known(paste: Paste, faces: Faces) -> dict[Face, Held]:
    return {face: held for face, held in faces.items() if face in paste.faces}


def saltiest(*held: Faces) -> float:
    return max((each.value for faces in held for each in faces.values()), default=0.0)


@given(shapes, held, held, taus, taus)
def test_what_comes_in_through_the_faces_is_what_the_paste_holds_more(
    shape: Shape, first: Faces, then: Faces, early: float, late: float
) -> None:
    paste = Paste(shape)
    start = salted(paste, known(paste, first), early)
    faces = known(paste, then)
    course = paste.course(start, faces)
    gained = sum(course.through(face, late) for face in faces)
    assert gained == pytest.approx(paste.mean(course.salt(late)) - paste.mean(start), abs=1e-8)


@given(shapes, held, held, taus, st.lists(taus, min_size=2, max_size=5))
def test_a_stage_may_be_cut_anywhere(
    shape: Shape, first: Faces, faces: Faces, before: float, pieces: list[float]
) -> None:
    paste = Paste(shape)
    faces = known(paste, faces)
    start = cut = salted(paste, known(paste, first), before)
    whole = paste.course(start, faces)
    for piece in pieces:
        cut = paste.course(cut, faces).salt(piece)
    boundary = max(saltiest(first, faces), 1.0)
    np.testing.assert_allclose(cut, whole.salt(sum(pieces)), atol=1e-10 * boundary)
    assert paste.mean(cut) == pytest.approx(whole.mean(sum(pieces)), abs=1e-10 * boundary)


@given(shapes, held, taus, taus, values)
def test_a_stage_that_goes_on_with_other_values_is_the_same_as_a_new_one(
    shape: Shape, faces: Faces, first: float, second: float, value: float
) -> None:
    paste = Paste(shape)
    faces = known(paste, faces)
    changed = {face: Held(value, each.salted) for face, each in faces.items()}
    course = paste.course(paste.fresh(), faces)
    later = course.later(first, changed)
    anew = paste.course(course.salt(first), changed)
    np.testing.assert_allclose(later.salt(second), anew.salt(second), atol=1e-8)
    assert later.mean(second) == pytest.approx(anew.mean(second), abs=1e-9)


@given(shapes, held, held, taus, taus)
def test_salt_stays_between_none_and_the_saltiest_face(
    shape: Shape, first: Faces, then: Faces, early: float, late: float
) -> None:
    paste = Paste(shape)
    start = salted(paste, known(paste, first), early)
    salt = paste.course(start, known(paste, then)).salt(late)
    assert salt.min() >= -1e-9
    assert salt.max() <= saltiest(first, then) + 1e-9


@given(shapes, wet, values, taus, st.floats(1.0, 3.0))
def test_longer_or_stronger_takes_up_no_less(
    shape: Shape, faces: Faces, more: float, tau: float, longer: float
) -> None:
    # The clock is D x time: 'longer' is a higher diffusivity as well.
    paste = Paste(shape)
    faces = known(paste, faces)
    stronger = {face: Held(each.value + more) for face, each in faces.items()}
    mean = paste.course(paste.fresh(), faces).mean(tau)
    assert paste.course(paste.fresh(), faces).mean(tau * longer) >= mean - 1e-10
    assert paste.course(paste.fresh(), stronger).mean(tau) >= mean - 1e-10


@given(wheels, held, held, taus, taus)
def test_swapping_the_faces_mirrors_the_field(
    shape: Cylinder, first: Faces, then: Faces, early: float, late: float
) -> None:
    paste = Paste(shape)

    def swapped(faces: Faces) -> Faces:
        return {SWAPPED[face]: each for face, each in faces.items()}

    upright = paste.course(salted(paste, first, early), then)
    mirrored = paste.course(salted(paste, swapped(first), early), swapped(then))
    np.testing.assert_allclose(mirrored.salt(late)[..., ::-1], upright.salt(late), atol=1e-10 * 40)
    for face in then:
        assert mirrored.through(SWAPPED[face], late) == pytest.approx(
            upright.through(face, late), abs=1e-8
        )


@given(shapes)
def test_a_bare_wheel_evens_out_and_keeps_its_salt(shape: Shape) -> None:
    paste = Paste(shape)
    start = salted(paste, {Face.SIDE: Held(30.0)}, 0.2)
    end = paste.course(start, {}).salt(1e5)
    assert paste.mean(end) == pytest.approx(paste.mean(start), rel=1e-11)
    np.testing.assert_allclose(end, paste.mean(start), rtol=1e-6)


def test_a_block_conserves_and_can_be_cut_and_mirrored_too() -> None:
    paste = Paste(Cuboid(20.0, 12.0, 8.0))
    faces = {Face.SIDE: Held(20.0), Face.BOTTOM: Held(10.0), Face.TOP: Held(30.0, salted=True)}
    course = paste.course(paste.fresh(), faces)
    assert sum(course.through(face, 0.7) for face in faces) == pytest.approx(
        course.mean(0.7), abs=1e-8
    )
    cut = paste.course(course.salt(0.3), faces).salt(0.4)
    np.testing.assert_allclose(cut, course.salt(0.7), atol=1e-10 * 30)
    swapped = {SWAPPED[face]: each for face, each in faces.items()}
    np.testing.assert_allclose(
        salted(paste, swapped, 0.7)[..., ::-1], course.salt(0.7), atol=1e-10 * 30
    )


def test_a_salted_face_takes_up_a_little_less_than_one_held_without_its_film() -> None:
    paste = Paste(Cylinder(18.0, 8.0))
    for tau in (0.05, 0.5):
        held = paste.course(paste.fresh(), {Face.TOP: Held(30.0)})
        film = paste.course(paste.fresh(), {Face.TOP: Held(30.0, salted=True)})
        assert 0.9 * held.mean(tau) < film.mean(tau) < held.mean(tau)


@pytest.fixture
def forgotten() -> Iterator[None]:
    """Operators of another grid are not kept for the tests that follow."""
    yield
    axis.axis.cache_clear()
    paste._operator.cache_clear()


@pytest.mark.usefixtures("forgotten")
@pytest.mark.parametrize(
    "shape", [Cylinder(30.0, 6.0), Cylinder(10.0, 10.0), Cuboid(20.0, 14.0, 8.0)], ids=str
)
def test_each_faces_amount_does_not_hang_on_the_grid(
    shape: Shape, monkeypatch: pytest.MonkeyPatch
) -> None:
    # A salted top beside a wet side. Reached, over these shapes: grids of 40 (the default)
    # to 80 cells agree within 0.13 % for each face.
    faces = {Face.SIDE: Held(21.25), Face.BOTTOM: Held(21.25), Face.TOP: Held(30.4, salted=True)}

    def amounts(cells: int) -> np.ndarray:
        monkeypatch.setattr(axis, "CELLS", cells)
        axis.axis.cache_clear()
        paste._operator.cache_clear()
        wheel = Paste(shape)
        course = wheel.course(wheel.fresh(), faces)
        return np.array(
            [[course.through(face, tau) for face in Face] for tau in (0.01, 0.05, 0.2, 0.5)]
        )

    coarse, between, fine = amounts(40), amounts(56), amounts(80)
    assert not np.array_equal(coarse, fine)
    np.testing.assert_allclose(coarse, fine, rtol=0.0015)
    np.testing.assert_allclose(between, fine, rtol=0.0006)
    # Second order: a cell half as wide leaves a quarter of the error.
    shrunk = np.abs(coarse - fine).max() / np.abs(between - fine).max()
    assert shrunk == pytest.approx((1 / 40**2 - 1 / 80**2) / (1 / 56**2 - 1 / 80**2), rel=0.15)
