"""Groups of wheels in salt, as values and as text."""

from dataclasses import replace
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest

from cavewatch.core.countdown import Span
from cavewatch.core.journal import Turned
from cavewatch.screens.groups import Group, group_lines, groups_of
from cavewatch.screens.lines import Role, text_of, width_of
from cavewatch.units import Display

UTC = ZoneInfo("UTC")


def drawn(group: Group, now: float, width: int, rows: int) -> list[str]:
    return [text_of(line).rstrip() for line in group_lines(group, now, UTC, Display(), width, rows)]


def test_wheels_of_one_make_with_the_same_times_stand_together(scene: SimpleNamespace) -> None:
    numbers = [group.numbers for group in groups_of(scene.busy().picture())]
    assert numbers == [(14, 15, 16, 17), (18, 19), (20,), (24, 25), (21, 22, 23), (26,)]


def test_a_wheel_that_was_turned_leaves_its_group_and_waits_for_its_countdown(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    desk.append(Turned((15,)), scene.NOW, "MK")
    groups = groups_of(desk.picture())
    assert groups[0].numbers == (14, 16, 17)
    assert (groups[-1].numbers, groups[-1].countdown) == ((15,), None)


def test_a_group_in_two_lines(scene: SimpleNamespace) -> None:
    late = groups_of(scene.busy().picture())[0]
    assert drawn(late, scene.NOW, 77, 2) == [
        "turn late 12 min   14–17   Washed curd, 2.3 kg each, brine tub",
        "  out Thu 15:20, 12:50–20:10          ━━────── salt 0.3–0.4 % of 1.6 %",
    ]


def test_a_lift_that_moved_is_announced_beside_its_wheels(scene: SimpleNamespace) -> None:
    group = groups_of(scene.busy().picture())[2]
    assert drawn(group, scene.NOW, 77, 2)[0] == (
        "turn in 3 h 00     20      Mountain tomme, 2.3 kg, brine tub".ljust(65) + "1 h 40 later"
    )
    assert "later" not in "".join(drawn(group, scene.NOW, 37, 2))


def test_a_group_in_one_line(scene: SimpleNamespace) -> None:
    group = groups_of(scene.busy().picture())[3]
    assert drawn(group, scene.NOW, 77, 1) == [
        "coat in 5 h 00     24, 25  Mountain tomme" + "out Thu 20:30, 18:00–Fri 01:20".rjust(36)
    ]


def test_a_group_on_a_narrow_screen(scene: SimpleNamespace) -> None:
    group = groups_of(scene.busy().picture())[1]
    assert drawn(group, scene.NOW, 37, 1) == ["turn in 6 min 00  18, 19  Alpine type"]
    assert drawn(group, scene.NOW, 37, 2)[1] == "  out Thu 15:35, 13:05–20:25"


def test_only_late_work_is_bright(scene: SimpleNamespace) -> None:
    roles = [
        {part.role for line in group_lines(g, scene.NOW, UTC, Display(), 77, 2) for part in line}
        for g in groups_of(scene.busy().picture())
    ]
    assert [Role.ALERT in found for found in roles] == [True] + [False] * 5


def test_too_much_salt_is_said_in_words(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.countdowns = {
        n: replace(countdown, salt=Span(2.1, 2.1, 2.1)) for n, countdown in desk.countdowns.items()
    }
    lines = drawn(groups_of(desk.picture())[0], scene.NOW, 90, 2)
    assert "salt 2.1 % too much, of 1.6 %" in lines[1]


def test_a_pending_countdown_says_so_and_since_when(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.countdowns = {}
    group = groups_of(desk.picture())[0]
    assert drawn(group, scene.NOW, 77, 2) == [
        "being worked out   14–17   Washed curd, 2.3 kg each, brine tub",
        "  in brine since 07:30",
    ]


@pytest.mark.parametrize("width", [37, 57, 77, 117, 197])
@pytest.mark.parametrize("rows", [1, 2])
def test_no_line_is_wider_than_the_screen(scene: SimpleNamespace, width: int, rows: int) -> None:
    for group in groups_of(scene.busy().picture()):
        lines = group_lines(group, scene.NOW, UTC, Display(), width, rows)
        assert len(lines) == rows
        assert all(width_of(line) <= width for line in lines)
