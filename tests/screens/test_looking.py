"""How a viewer looks at curves."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.screens.curves.spans import Span
from cavewatch.screens.looking import (
    Looking,
    bins_of,
    column_at,
    columns_of,
    curve_at,
    earlier,
    span_at,
    span_parts,
)

NOW = 1_772_551_800.0
LOOKS = st.builds(
    Looking, st.sampled_from(Span), st.none() | st.floats(NOW - 4e8, NOW - 1), st.none()
)
WIDTHS = st.integers(30, 200)


def test_spans_go_round() -> None:
    assert Span.DAY.stepped(1) is Span.WEEK
    assert Span.HOUR.stepped(-1) is Span.FIVE_YEARS
    assert [span.seconds for span in Span] == sorted(span.seconds for span in Span)


@given(LOOKS, WIDTHS)
def test_the_cursor_is_always_within_what_is_shown(looking: Looking, width: int) -> None:
    bins = bins_of(looking, NOW, width)
    assert bins.index(NOW if looking.cursor is None else looking.cursor) is not None
    assert bins.since % bins.length == 0


@given(st.sampled_from(Span), WIDTHS, st.integers(1, 300))
def test_as_many_columns_back_and_on_lead_to_the_present(
    span: Span, width: int, columns: int
) -> None:
    back = earlier(Looking(span), columns, NOW, width)
    assert back.cursor is not None
    assert back.cursor < NOW
    assert earlier(back, -columns, NOW, width).cursor is None


@given(LOOKS, WIDTHS, st.data())
def test_a_click_points_at_the_column_that_was_clicked(
    looking: Looking, width: int, data: st.DataObject
) -> None:
    column = data.draw(st.integers(0, columns_of(width) - 1))
    bins = bins_of(looking, NOW, width)
    found = curve_at(looking, column, NOW, width)
    if found.cursor is None:
        assert bins.since + (column * 2 + 1) * bins.length >= NOW
    else:
        assert (bins.index(found.cursor) or 0) // 2 == column
        assert bins_of(found, NOW, width).index(found.cursor) is not None


def test_a_click_beside_the_chart_changes_nothing() -> None:
    looking = Looking(Span.WEEK, NOW - 3600.0)
    for cell in (0, 8, 9 + columns_of(77)):
        assert curve_at(looking, column_at(cell), NOW, 77) == looking


@pytest.mark.parametrize("width", [37, 77])
def test_each_span_is_where_its_word_is(width: int) -> None:
    looking = Looking(Span.WEEK)
    words = "".join(part.text for _, part in span_parts(looking, width))
    assert "[week]" in words
    for span, _ in span_parts(looking, width):
        assert span_at(looking, words.index(span), width) is span
    assert span_at(looking, len(words), width) is None
    assert ("5 years" in words) == (width == 77)
