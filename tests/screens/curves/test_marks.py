"""Marks under a chart."""

from cavewatch.core.series import Bins
from cavewatch.screens.curves import Mark, marks_line
from cavewatch.screens.curves.marks import near
from cavewatch.screens.lines import Role, text_of

BINS = Bins(0.0, 60.0, 20)
ALARM = Mark(250.0, "too dry", "!", "!", Role.CAUTION)


def turned(at: float) -> Mark:
    return Mark(at, f"turned at {at:g}")


def line(*marks: Mark, ascii_only: bool = False) -> str:
    return text_of(marks_line(BINS, marks, 10, "", 0, ascii_only))[1:]


def test_a_mark_stands_in_the_column_of_its_moment() -> None:
    assert line(turned(0), turned(130), turned(1199)) == "▴▴       ▴"
    assert line(turned(130), ascii_only=True) == " ^        "


def test_what_is_outside_is_left_out() -> None:
    assert line(turned(-1), turned(1200)).strip() == ""


def test_several_of_a_kind_are_counted_and_the_gravest_is_shown() -> None:
    assert line(*(turned(n) for n in range(3))) == "3         "
    assert line(*(turned(n) for n in range(12))) == "+         "
    assert line(turned(241), ALARM, turned(251)) == "  !       "


def test_the_marks_at_the_cursor_by_time() -> None:
    found = near(BINS, [turned(359), ALARM, turned(241), turned(360)], 300.0)
    assert [mark.at for mark in found] == [241.0, 250.0, 359.0]
    assert near(BINS, [ALARM], 5000.0) == []
