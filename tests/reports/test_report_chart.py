"""Charts: pure functions of values to SVG."""

import re
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.reports import Chart, Level, Point, Stretch
from cavewatch.reports.chart import HEIGHT, WIDTH, drawn, ticks

finite = st.floats(-40, 120)


def chart(*points: Point, levels: tuple[Level, ...] = (), empty: tuple[Stretch, ...] = ()) -> Chart:
    return Chart("t", "%", points, 0.0, 100.0, 15.0, ((0.0, "Mon"),), levels, empty)


def point(at: float, mean: float) -> Point:
    return Point(at, mean, mean - 1, mean + 1)


def paths(svg: ET.Element) -> list[str]:
    return [each.get("d", "") for each in svg.iter("path")]


@given(finite, st.floats(1, 100))
def test_lines_across_are_round_and_hold_every_value(low: float, more: float) -> None:
    found = ticks(low, low + more)
    assert found[0] <= low + 1e-6
    assert found[-1] >= low + more - 1e-6
    assert len(found) <= 12
    assert all(b > a for a, b in pairwise(found))


def test_lines_across_stand_at_round_numbers() -> None:
    assert ticks(10.3, 14.2) == [10, 11, 12, 13, 14, 15]
    assert ticks(82, 96) == [80, 85, 90, 95, 100]


@given(st.lists(st.tuples(st.floats(-50, 150), finite, st.floats(0, 5)), max_size=20))
def test_nothing_is_drawn_outside(values: list[tuple[float, float, float]]) -> None:
    points = [Point(at, mean, mean - by, mean + by) for at, mean, by in sorted(values)]
    levels = (Level("at most", ((0.0, 50.0), (60.0, None))),)
    for path in paths(drawn(chart(*points, levels=levels, empty=(Stretch(-5.0, 20.0),)))):
        for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path):
            assert -0.1 <= float(x) <= WIDTH + 0.1
            assert -0.1 <= float(y) <= HEIGHT + 0.1


def test_points_that_are_far_apart_are_not_joined() -> None:
    joined = drawn(chart(point(10, 5), point(20, 6), point(30, 5)))
    parted = drawn(chart(point(10, 5), point(20, 6), point(60, 5), point(70, 5)))
    bands = [sum(e.get("fill") == "#ddd" for e in svg.iter("path")) for svg in (joined, parted)]
    assert bands == [1, 2]


def test_a_point_alone_is_a_dot() -> None:
    assert len(list(drawn(chart(point(10, 5))).iter("circle"))) == 1


def test_higher_stands_higher_and_later_to_the_right() -> None:
    line = paths(drawn(chart(point(10, 5), point(20, 6))))[-1]
    (x1, y1), (x2, y2) = re.findall(r"([\d.]+) ([\d.]+)", line)
    assert float(x2) > float(x1)
    assert float(y2) < float(y1)


def test_where_there_is_nothing_it_is_hatched_and_says_so() -> None:
    svg = drawn(chart(empty=(Stretch(20.0, 60.0),)))
    assert "no data" in [each.text for each in svg.iter("text")]
    assert drawn(chart()).find("desc").text == "nothing was recorded"  # type: ignore[union-attr]


def test_a_range_that_changes_is_a_step_and_one_that_ends_is_not_drawn_on() -> None:
    level = Level("at most", ((0.0, 10.0), (50.0, 20.0), (75.0, None)))
    [dashed] = [
        each.get("d", "")
        for each in drawn(chart(levels=(level,))).iter("path")
        if each.get("stroke-dasharray")
    ]
    assert dashed.count("M") == 2
    assert float(dashed.rpartition("H")[2]) == pytest.approx(52 + 0.75 * (WIDTH - 62))


def test_it_is_told_in_words_too() -> None:
    svg = drawn(chart(point(10, 5), point(20, 6)))
    assert svg.get("role") == "img"
    assert [svg.findtext("title"), svg.findtext("desc")] == ["t", "from 4.0 to 7.0 %"]
