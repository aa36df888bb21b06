"""Charts as text."""

from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.reading import Quantity
from cavewatch.screens.chart import chart, scale, trend

VALUES = st.lists(st.none() | st.floats(-40, 80), min_size=1, max_size=50)


def test_a_rise_climbs_through_the_dots_of_a_line() -> None:
    assert chart([0, 0, 1, 1, 2, 2, 3, 3], 0, 3, rows=1) == ["⣀⠤⠒⠉"]


def test_a_tall_chart_has_its_highest_value_on_the_top_row() -> None:
    assert chart([0, 7], 0, 7, rows=2) == ["⢸", "⡸"]


def test_an_empty_bin_leaves_a_gap() -> None:
    assert chart([1, 1, None, None, 1, 1], 0, 1, rows=1) == ["⠉ ⠉"]


def test_noise_does_not_look_like_drift() -> None:
    noise = trend([12.00, 12.02, 12.01, 12.02], Quantity.TEMPERATURE)
    assert set(noise) <= set("⠒⠔⠢⠤")  # never off the two middle dots
    assert trend([12.0, 12.7, 13.3, 14.0], Quantity.TEMPERATURE) == "⡠⠊"


def test_no_values_give_blanks() -> None:
    assert scale([None, None], Quantity.HUMIDITY) is None
    assert trend([None] * 4, Quantity.HUMIDITY) == "  "


@given(VALUES, st.integers(1, 5))
def test_a_chart_has_the_size_asked_for(values: list[float | None], rows: int) -> None:
    span = scale(values, Quantity.TEMPERATURE)
    if span is None:
        return
    lines = chart(values, *span, rows=rows)
    assert [len(line) for line in lines] == [(len(values) + 1) // 2] * rows
    assert all(c == " " or "\u2800" < c <= "\u28ff" for line in lines for c in line)
