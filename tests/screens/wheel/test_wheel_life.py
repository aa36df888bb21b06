"""A wheel's life as a line."""

import re
from dataclasses import replace
from types import SimpleNamespace
from zoneinfo import ZoneInfo

from cavewatch.core.journal import Ended, Ending, Lifted, Moved, Turned
from cavewatch.screens.lines import Role, text_of, width_of
from cavewatch.screens.wheel.life import life_lines, stations

UTC = ZoneInfo("UTC")


def names(scene: SimpleNamespace, number: int, *acts: object) -> list[tuple[str, bool]]:
    desk = scene.quiet()
    for index, act in enumerate(acts):
        desk.append(act, scene.NOW - (9 - index) * 600, "MK")
    desk.solve()
    wheel = desk.wheels()[number]
    return [(s.name, s.done) for s in stations(wheel, desk.countdowns.get(number), scene.NOW)]


def test_a_wheel_in_brine_has_its_life_before_it(scene: SimpleNamespace) -> None:
    assert names(scene, 14) == [
        ("made", True),
        ("in", True),
        ("turn", False),
        ("lift", False),
        ("cave", False),
        ("ready", False),
    ]


def test_what_was_done_is_behind_it(scene: SimpleNamespace) -> None:
    acts = Turned((14,)), Lifted((14,)), Moved((14,), "upper cave")
    assert names(scene, 14, *acts)[2:] == [
        ("turned", True),
        ("lifted", True),
        ("cave", True),
        ("ready", False),
    ]


def test_a_wheel_that_came_salted_says_so_and_an_ended_one_ends(scene: SimpleNamespace) -> None:
    assert names(scene, 1)[:3] == [("made", True), ("salted", True), ("cave", True)]
    assert names(scene, 1, Ended((1,), Ending.SOLD))[-1] == ("ended", True)


def test_signs_and_times_stand_under_each_other(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    every = stations(desk.wheels()[14], desk.countdowns[14], scene.NOW)
    marks, words, times = (text_of(e) for e in life_lines(every, scene.NOW, UTC, 77, False))
    assert marks.count("●") == 2
    assert marks.count("○") == 4
    assert words.index("lift") == [i for i, c in enumerate(marks) if c in "●○"][3]
    assert re.split(r"  +", times.strip()) == [
        "Tue 07:30",
        "Tue 07:30",
        "~Tue 19:30",
        "~Thu 19:30",
        "~2 May",
    ]
    plain = text_of(life_lines(every, scene.NOW, UTC, 77, True)[0])
    assert plain.isascii()
    assert (plain.count("#"), plain.count("o")) == (2, 4)


def test_on_a_narrow_screen_the_times_are_left_out_and_nothing_is_cut(
    scene: SimpleNamespace,
) -> None:
    desk = scene.quiet()
    every = stations(desk.wheels()[14], desk.countdowns[14], scene.NOW)
    lines = life_lines(every, scene.NOW, UTC, 37, False)
    assert len(lines) == 2
    assert all(width_of(line) <= 37 for line in lines)
    assert text_of(lines[1]).split() == ["made", "in", "turn", "lift", "cave", "ready"]


def test_what_is_late_has_a_mark_of_its_own(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    now = scene.NOW + 13 * 3600
    every = stations(desk.wheels()[14], desk.countdowns[14], now)
    assert [s.name for s in every if s.late] == ["turn"]
    line = life_lines(every, now, UTC, 77, False)[0]
    assert [part.text for part in line if part.role is Role.ALERT] == ["!"]


def test_a_time_in_another_week_is_a_date(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    wheel = replace(desk.wheels()[14], made_at=scene.NOW - 30 * scene.DAY)
    times = life_lines(stations(wheel, None, scene.NOW), scene.NOW, UTC, 77, False)[2]
    assert text_of(times).startswith("1 Feb")
