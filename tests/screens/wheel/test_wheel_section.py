"""The cut as text: its shape, its levels, its legend."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.countdown import Span
from cavewatch.core.shape import Cuboid, Cylinder, Shape, Sphere
from cavewatch.core.uptake import Cut
from cavewatch.screens.lines import Line, text_of, width_of
from cavewatch.screens.wheel.section import (
    BOUNDS,
    PLAIN,
    SIGNS,
    legend_lines,
    level,
    section_lines,
    size,
    told_lines,
)


def texts(lines: list[Line]) -> list[str]:
    return [text_of(line) for line in lines]


@pytest.fixture
def cut(scene: SimpleNamespace) -> Any:
    wheel = scene.quiet().wheels()[14]

    def of(shape: Shape = wheel.shape, days: float = 1.0) -> Cut:
        at = wheel.history[0].at + days * scene.DAY
        found: Cut = scene.cut_through(replace(wheel, shape=shape), at)
        return found

    return of


def test_a_wheel_is_a_half_section_from_the_middle_to_the_rim(cut: Any) -> None:
    assert texts(section_lines(cut(Cylinder(18, 9)), 40, 7, ascii_only=False)) == [
        "┊▓▓▓▓▓▓▓▓▓▓▓█",
        "┊·········░▒█",
        "┊·········░▒█",
        "┊·········░▒█",
        "┊·········░▒█",
        "┊▓▓▓▓▓▓▓▓▓▓▓█",
        "middle    rim",
    ]


def test_a_block_is_as_wide_as_half_its_length(cut: Any) -> None:
    lines = texts(section_lines(cut(Cuboid(30, 10, 10)), 60, 6, ascii_only=True))
    assert len(lines) == 6
    assert {len(line) for line in lines} == {1 + 15}
    assert lines[0].startswith("|***")


def test_a_ball_is_round_and_empty_outside(cut: Any) -> None:
    lines = texts(section_lines(cut(Sphere(12)), 40, 9, ascii_only=False))
    lengths = [len(line.rstrip()) for line in lines[:-1]]
    assert lengths == lengths[::-1]
    assert lengths[0] < max(lengths) == 9
    assert lengths[:4] == sorted(lengths[:4])


def test_an_even_wheel_is_as_aimed_all_through(cut: Any) -> None:
    for ascii_only, sign in ((False, SIGNS[2]), (True, PLAIN[2])):
        lines = texts(section_lines(cut(days=60), 40, 7, ascii_only))
        assert {character for line in lines[:-1] for character in line[1:]} == {sign}


def test_levels_are_told_apart_by_their_signs() -> None:
    assert len(set(SIGNS)) == len(set(PLAIN)) == len(BOUNDS) + 1
    assert PLAIN.isascii()
    assert [level(4.0 * part, 4.0) for part in (0, 0.3, 1.0, 1.5, 5.0)] == [0, 1, 2, 3, 4]


@pytest.mark.parametrize("width", [37, 77, 117])
def test_legend_and_numbers_fit_and_no_part_is_broken(cut: Any, width: int) -> None:
    lines = [*legend_lines(cut(), width, False), *told_lines(cut(), width)]
    assert max(width_of(line) for line in lines) <= width
    said = " ".join(texts(lines))
    for sign in SIGNS:
        assert sign in said
    for words in ("g in 100 g water", "mean 4.1 (3.7 to 4.5)", "saltiest ", "least 0.1"):
        assert words in said


def test_a_legend_names_the_aim(cut: Any) -> None:
    assert texts(legend_lines(cut(), 77, True)) == [
        ". to 1.0  : to 3.1  + to 5.1, as aimed  * to 8.2  # more  g in 100 g water"
    ]


@given(
    st.floats(0.5, 60),
    st.floats(0.5, 60),
    st.integers(4, 90),
    st.integers(1, 30),
)
def test_a_section_never_leaves_its_room(
    diameter: float, height: float, columns: int, rows: int
) -> None:
    across, up = size(Cylinder(diameter, height), columns, rows)
    assert 1 <= across <= columns
    assert 1 <= up <= rows


def test_a_number_without_a_range_stands_alone(cut: Any) -> None:
    sure = replace(cut(), least=Span(0.01, 0.02, 0.03))
    assert texts(told_lines(sure, 77))[0].endswith("least 0.0")
