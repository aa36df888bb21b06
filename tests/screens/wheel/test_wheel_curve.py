"""The uptake of a wheel as text."""

from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from cavewatch.core.countdown import Span
from cavewatch.core.journal import Assayed, Turned
from cavewatch.core.uptake import Moment, When
from cavewatch.screens.lines import text_of, width_of
from cavewatch.screens.wheel.curve import bins_of, curve_lines
from cavewatch.screens.wheel.moments import moment_at, moments_line, stepped, time_of
from cavewatch.units import Display

UTC = ZoneInfo("UTC")


def curve(
    scene: SimpleNamespace, desk: Any, cursor: float | None = None, ascii_only: bool = False
) -> list[str]:
    wheel = desk.wheels()[14]
    uptake = scene.taken_up(wheel, desk.countdowns.get(14), scene.NOW)
    lines = curve_lines(uptake, wheel, desk.entries(), cursor, UTC, Display(), 60, 11, ascii_only)
    assert all(width_of(line) <= 60 for line in lines)
    assert len(lines) == 11
    return [text_of(line) for line in lines]


def test_curve_aim_what_was_done_and_the_lift_with_its_range(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.append(Turned((14, 15, 16, 17)), scene.NOW - 3600, "MK")
    desk.solve()
    lines = curve(scene, desk)
    assert any(line.startswith(" 1.6 % ") for line in lines)
    assert lines[-3].split() == ["done", "i", "t"]
    assert lines[-2].split() == ["aim", "├─◆───┤"]
    assert "╵Wed 4" in lines[-1]
    assert sum("\u2800" < c <= "\u28ff" for line in lines for c in line) > 60


def test_without_braille_the_same_is_told_in_ascii(scene: SimpleNamespace) -> None:
    lines = curve(scene, scene.quiet(), scene.NOW, ascii_only=True)
    assert all(line.isascii() for line in lines)
    assert "[-o---]" in lines[-2]
    assert sum(line[9:].count("|") > 0 for line in lines[:-1]) >= 5


def test_the_moment_of_the_cut_is_an_upright_line(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    assert not any("│" in line for line in curve(scene, desk))
    found = {line.index("│") for line in curve(scene, desk, scene.NOW) if "│" in line}
    assert len(found) == 1


def test_an_assay_is_a_point_on_the_chart(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.append(Assayed((14,), 1.1, 0.1), scene.NOW, "MK")
    assert sum("◆" in line for line in curve(scene, desk)) == 2


def test_the_bins_reach_over_the_whole_uptake(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    uptake = scene.taken_up(desk.wheels()[14], desk.countdowns[14], scene.NOW)
    bins = bins_of(uptake, 60)
    assert bins.since <= uptake.times[0]
    assert bins.until >= uptake.times[-1]


MOMENTS = [
    Moment(When.LIFT, Span(50, 60, 90)),
    Moment(When.NOW, Span(100, 100, 100)),
    Moment(When.EVEN, Span(900, 1000, 2000)),
]


def test_moments_are_stepped_through_in_order_and_round() -> None:
    assert stepped(When.NOW, MOMENTS, 100, 1) is When.EVEN
    assert stepped(When.EVEN, MOMENTS, 100, 1) is When.LIFT
    assert stepped(When.LIFT, MOMENTS, 100, -1) is When.EVEN
    assert stepped(70.0, MOMENTS, 100, 1) is When.NOW
    assert stepped(70.0, MOMENTS, 100, -1) is When.LIFT
    assert stepped(5000.0, MOMENTS, 100, 1) is When.LIFT
    assert stepped(5.0, MOMENTS, 100, -1) is When.EVEN
    assert stepped(When.NOW, [], 100, 1) is When.NOW


def test_now_is_the_present_whenever_it_was_worked_out() -> None:
    assert time_of(When.NOW, MOMENTS, 130.0) == 130.0
    assert time_of(When.LIFT, MOMENTS, 130.0) == 60.0
    assert time_of(42.0, MOMENTS, 130.0) == 42.0
    assert time_of(When.WEEK, (), 130.0) == 130.0


@pytest.mark.parametrize("chosen", [When.NOW, When.EVEN, 70.0])
def test_what_is_clicked_is_what_is_written_there(chosen: Any) -> None:
    line = text_of(moments_line(chosen, MOMENTS, 100.0, UTC, 77))
    for moment in MOMENTS:
        assert moment_at(chosen, MOMENTS, 77, line.index(moment.when)) is moment.when
    assert moment_at(chosen, MOMENTS, 77, 70) is None


def test_on_a_narrow_screen_only_the_chosen_moment_is_written() -> None:
    assert text_of(moments_line(When.LIFT, MOMENTS, 100.0, UTC, 37)).startswith("[at the lift]  ")
