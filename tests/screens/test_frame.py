"""The lines above and below the lists, as text."""

from dataclasses import replace
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest

from cavewatch.screens.frame import head_lines, replay_line, urgent_lines
from cavewatch.screens.lines import Line, Role, text_of, width_of
from cavewatch.units import Display

UTC = ZoneInfo("UTC")


def texts(lines: tuple[Line, ...]) -> list[str]:
    return [text_of(line).rstrip() for line in lines]


def test_title_notice_and_time_share_the_first_line(scene: SimpleNamespace) -> None:
    assert texts(head_lines("Hillside", "", scene.NOW, UTC, 40)) == [
        "Hillside                           15:30"
    ]
    notice = "recorder is not running"
    assert texts(head_lines("A dairy with a long name", notice, scene.NOW, UTC, 60)) == [
        "A dairy with a l…  recorder is not running  Tue 03 Mar 15:30"
    ]


def test_on_a_narrow_screen_the_notice_stands_below(scene: SimpleNamespace) -> None:
    notice = "replay: what you enter here is not kept"
    assert texts(head_lines("Hillside", notice, scene.NOW, UTC, 38))[1:] == [
        "replay: what you enter here is not",
        "kept",
    ]


def test_an_alarm_that_is_too_long_loses_its_last_clauses(scene: SimpleNamespace) -> None:
    action = "shut the door, look at the cooling unit, move the most delicate wheels to a cold room"
    told = replace(scene.TOO_DRY.explanation, action=action)
    desk = scene.quiet()
    desk.alarms = [replace(scene.TOO_DRY, explanation=told)]
    lines = urgent_lines(desk.picture(), scene.NOW, UTC, Display(), 60)
    assert texts(lines) == [
        "Lower cave is too dry: 84 %, at least 88 %. Shut the door,",
        "look at the cooling unit …",
    ]
    assert {part.role for line in lines for part in line} == {Role.ALERT}


@pytest.mark.parametrize("width", [20, 37, 60, 77, 120])
def test_the_urgent_thing_takes_few_rows(scene: SimpleNamespace, width: int) -> None:
    told = replace(scene.TOO_DRY.explanation, what="dry " * 60)
    desk = scene.busy()
    desk.alarms = [replace(scene.TOO_DRY, explanation=told)]
    lines = urgent_lines(desk.picture(), scene.NOW, UTC, Display(), width)
    assert len(lines) <= (3 if width < 60 else 2)
    assert max(width_of(line) for line in lines) <= width


def test_a_replay_shows_speed_state_and_progress(scene: SimpleNamespace) -> None:
    controls = scene.FakeReplay()
    assert text_of(replay_line(controls, False, 60)).split() == [
        "replay", "×600", "running", "━━━━━━━━────────────", "42%",
    ]  # fmt: skip
    controls.running = False
    assert "paused" in text_of(replay_line(controls, False, 60))
    controls.finished = True
    assert "at the end of the log" in text_of(replay_line(controls, False, 60))


def test_while_it_skips_its_handles_are_left_alone() -> None:
    line = replay_line(None, True, 60)  # type: ignore[arg-type]
    assert text_of(line) == "replay looking for the next alarm"
