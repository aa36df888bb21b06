"""Charts as text."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.series import Bins
from cavewatch.screens.curves import Curve, Plot, Point, chart
from cavewatch.screens.curves.plot import scale
from cavewatch.screens.lines import Role, text_of, width_of

BINS = st.lists(st.none() | st.floats(-40, 80), min_size=2, max_size=60).map(
    lambda values: values[: len(values) // 2 * 2]
)


def plot(*values: float | None, **more: object) -> Plot:
    """A chart of these values, one for each bin."""
    settings = {"curves": (Curve(values),), "show": lambda v: f"{v:g}", "least": 3.0} | more
    return Plot(bins=Bins(0.0, 60.0, len(values)), **settings)  # type: ignore[arg-type]


def drawn(found: Plot, rows: int = 3, ascii_only: bool = False) -> list[str]:
    return [text_of(line) for line in chart(found, found.bins.count // 2, rows, 3, ascii_only)]


def in_role(found: Plot, role: Role) -> str:
    lines = chart(found, found.bins.count // 2, 3, 0)
    return "".join(part.text for line in lines for part in line if part.role is role).strip()


def test_a_rise_climbs_from_the_lowest_to_the_highest_dot() -> None:
    rise = plot(0, 1, 2, 3, 4, 5, 6, 7)
    assert drawn(rise, 2) == ["  7   ⡠⠊", "  0 ⡠⠊  "]
    assert drawn(rise, 2, ascii_only=True) == ["  7   --", "  0 --  "]


def test_an_empty_bin_leaves_a_gap() -> None:
    assert drawn(plot(1, 1, None, None, 4, 4), 2) == ["  4   ⠉", "  1 ⣀  "]
    assert drawn(plot(1, 1, None, None, 4, 4), 2, ascii_only=True) == ["  4   '", "  1 _  "]


def test_a_range_is_two_dashed_lines_with_their_values() -> None:
    ranged = plot(*[5] * 8, low=(4,) * 8, high=(7,) * 8)
    assert drawn(ranged) == ["  7 ⠉ ⠉ ", "    ⣀⣀⣀⣀", "  4 ⣀ ⣀ "]
    assert drawn(ranged, ascii_only=True) == ["  7 . . ", "    ____", "  4 . . "]


def test_an_aim_is_an_unbroken_line() -> None:
    assert drawn(plot(*[5] * 8, target=7))[0] == "  7 ⠤⠤⠤⠤"
    assert drawn(plot(*[5] * 8, target=7), ascii_only=True)[0] == "  7 ===="


def test_between_the_lowest_and_the_highest_it_is_grey() -> None:
    found = plot(*[5] * 8, curves=(Curve((5,) * 8, (3,) * 8, (8,) * 8),))
    assert drawn(found) == ["  8 ⡪⡪⡪⡪", "    ⣪⣪⣪⣪", "  3 ⡪⡪⡪⡪"]
    assert drawn(found, ascii_only=True) == ["  8 ::::", "    ____", "  3 ::::"]
    assert in_role(found, Role.PLAIN) == "⣪⣪⣪⣪"


def test_points_stand_at_their_moment_and_value_and_the_cursor_is_upright() -> None:
    found = plot(*[5] * 8, points=(Point(130.0, 8.0), Point(999.0, 50.0)), cursor=300.0)
    assert drawn(found) == ["  8  ◆│ ", "      │ ", "  5 ⣀⣀⣀⣀"]
    assert drawn(found, ascii_only=True) == ["  8  o| ", "      | ", "  5 ____"]


def test_what_is_outside_its_range_is_told_apart() -> None:
    found = plot(5, 5, 9, 9, 5, 5, low=(4,) * 6, high=(7,) * 6)
    assert len(in_role(found, Role.CAUTION).replace(" ", "")) == 3
    assert in_role(plot(5, 5, 6, 6, low=(4,) * 4, high=(7,) * 4), Role.CAUTION) == ""


def test_a_range_that_changes_is_drawn_as_it_was() -> None:
    found = plot(*[5] * 8, low=(3,) * 4 + (4,) * 4, high=(None,) * 4 + (7,) * 4)
    assert [row[4:] for row in drawn(found, 4)] == ["  ⠉ ", "⣀⣀⣀⣀", "  ⣀ ", "⣀ ⠇ "]


def test_nothing_known_gives_an_empty_chart_without_values() -> None:
    assert drawn(plot(None, None)) == ["     "] * 3


def test_noise_does_not_look_like_drift_and_nothing_goes_beyond_the_bounds() -> None:
    low, high = scale(plot(12.00, 12.02, 12.01, 12.02))
    assert high - low >= 3.0
    assert scale(plot(99.0, 100.0, bounds=(0.0, 100.0)))[1] == 100.0


@pytest.mark.parametrize("grown", [12.51, 12.55, 12.59])
def test_a_scale_rests_while_values_grow_a_little(grown: float) -> None:
    assert scale(plot(9.0, 12.5, grown)) == scale(plot(9.0, 12.5, 12.6))


@given(BINS, st.integers(2, 8), st.booleans())
def test_a_chart_has_the_size_asked_for(
    values: list[float | None], rows: int, ascii_only: bool
) -> None:
    found = plot(*values, low=(10.0,) * len(values), target=20.0)
    lines = chart(found, len(values) // 2, rows, 7, ascii_only)
    assert [width_of(line) for line in lines] == [8 + len(values) // 2] * rows
    if ascii_only:
        assert all(text_of(line).isascii() for line in lines)


@given(BINS)
def test_all_values_are_on_the_scale(values: list[float | None]) -> None:
    low, high = scale(plot(*values))
    assert all(low - 1e-9 <= value <= high + 1e-9 for value in values if value is not None)
