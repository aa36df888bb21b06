"""Gauges and bars as text."""

import pytest

from cavewatch.core.countdown import Span
from cavewatch.core.ranges import Edge, Range
from cavewatch.core.reading import Quantity
from cavewatch.screens.gauge import gauge, progress, salt_bar
from cavewatch.screens.lines import Role, text_of, width_of

BOTH = Range(Edge(10.0, "a"), Edge(15.0, "b"))


def drawn(value: float | None, limits: Range, width: int = 7) -> str:
    return text_of(gauge(value, limits, Quantity.TEMPERATURE, width))


@pytest.mark.parametrize(
    ("value", "expected"),
    [(10.0, "●──────"), (12.5, "───●───"), (15.0, "──────●"), (9.9, "◂ LOW ─"), (15.1, " HIGH ▸")],
)
def test_the_mark_lies_between_the_edges_and_a_word_stands_outside(
    value: float, expected: str
) -> None:
    assert drawn(value, BOTH) == expected


def test_outside_its_range_the_gauge_alone_is_bright() -> None:
    assert Role.ALERT in {part.role for part in gauge(9.0, BOTH, Quantity.TEMPERATURE, 9)}
    assert Role.ALERT not in {part.role for part in gauge(12.0, BOTH, Quantity.TEMPERATURE, 9)}


def test_a_range_with_one_edge_is_drawn_from_that_edge() -> None:
    assert drawn(10.0, Range(Edge(10.0, "a"), None)) == "●──────"
    assert drawn(12.0, Range(None, Edge(12.0, "a"))) == "──────●"
    assert drawn(-3.0, Range(None, Edge(12.0, "a"))) == "●──────"


def test_a_clash_is_a_word() -> None:
    assert drawn(12.0, Range(Edge(14, "a"), Edge(12, "b"))) == "clash  "


def test_without_range_or_value_there_is_nothing() -> None:
    assert drawn(12.0, Range(None, None)) == " " * 7
    assert drawn(None, BOTH) == " " * 7


@pytest.mark.parametrize("width", [7, 11, 21])
@pytest.mark.parametrize("value", [0.0, 10.0, 14.99, 15.0, 99.0])
def test_a_gauge_is_as_wide_as_asked(value: float, width: int) -> None:
    assert width_of(gauge(value, BOTH, Quantity.TEMPERATURE, width)) == width


@pytest.mark.parametrize(
    ("part", "expected"), [(0.0, "────"), (0.5, "━━──"), (1.0, "━━━━"), (1.7, "━━━━"), (-1, "────")]
)
def test_progress_fills_from_the_left(part: float, expected: str) -> None:
    assert text_of(progress(part, 4)) == expected


def test_the_salt_bar_is_full_at_the_aim() -> None:
    aim = Span(1.4, 1.6, 1.9)
    assert text_of(salt_bar(Span(0.7, 0.8, 0.9), aim, 8)) == "━━━━────"
    assert text_of(salt_bar(Span(1.5, 1.6, 1.8), aim, 8)) == "━━━━━━━━"
