"""The lines above and below the lists, as text."""

from dataclasses import replace
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest

from cavewatch.screens.frame import head_lines, keys_line, replay_line, time_at, urgent_lines
from cavewatch.screens.lines import Line, Part, Role, text_of, width_of
from cavewatch.units import Display

UTC = ZoneInfo("UTC")


def texts(lines: tuple[Line, ...]) -> list[str]:
    return [text_of(line).rstrip() for line in lines]


def test_title_page_and_time_share_the_first_line(scene: SimpleNamespace) -> None:
    assert texts(head_lines("Hillside", "", "", scene.NOW, UTC, 40)) == [
        "Hillside                           15:30"
    ]
    assert texts(head_lines("Hillside", "wheel 14", "", scene.NOW, UTC, 60)) == [
        "Hillside · wheel 14                         Tue 03 Mar 15:30"
    ]
    assert texts(head_lines("Hillside", "wheel 14", "", scene.NOW, UTC, 40)) == [
        "wheel 14                           15:30"
    ]


def test_a_notice_that_fits_stands_in_the_first_line(scene: SimpleNamespace) -> None:
    assert texts(head_lines("Hillside", "", "the log has ended", scene.NOW, UTC, 60)) == [
        "Hillside  the log has ended                 Tue 03 Mar 15:30"
    ]


def test_a_long_notice_stands_below_and_is_not_cut_without_a_sign(scene: SimpleNamespace) -> None:
    notice = "no recorder is running: nothing is recorded until 'cavewatch record' is started"
    assert texts(head_lines("Hillside", "", notice, scene.NOW, UTC, 78))[1:] == [
        "no recorder is running: nothing is recorded until 'cavewatch record' is",
        "started",
    ]
    assert texts(head_lines("Hillside", "", notice, scene.NOW, UTC, 38))[1:] == [
        "no recorder is running: nothing is",
        "recorded until 'cavewatch record' is",
        "started",
    ]
    cut = texts(head_lines("Hillside", "", f"{notice} · {notice}", scene.NOW, UTC, 78))
    assert len(cut) == 3
    assert cut[2].endswith("…")


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
    assert text_of(replay_line(controls, "", 76)).split() == [
        "replay", "×600", "running", "nothing", "entered", "is", "kept",
        "━━━━━━━━────────────", "42%",
    ]  # fmt: skip
    controls.running = False
    assert "paused" in text_of(replay_line(controls, "", 60))
    controls.finished = True
    assert "at the end of the log" in text_of(replay_line(controls, "", 60))


@pytest.mark.parametrize("skipping", ["", "to the next alarm"])
@pytest.mark.parametrize("width", [38, 58, 60, 78, 118])
def test_the_bar_of_a_replay_fits(scene: SimpleNamespace, width: int, skipping: str) -> None:
    assert width_of(replay_line(scene.FakeReplay(), skipping, width)) == width


def test_a_skip_shows_where_to_how_far_and_what_stops_it(scene: SimpleNamespace) -> None:
    words = text_of(replay_line(scene.FakeReplay(), "to the next alarm", 78))
    assert words.startswith("replay, on the way to the next alarm  esc stops")
    assert words.endswith("━━━━━━━━────────────  42%")


@pytest.mark.parametrize("width", [38, 78, 118])
def test_each_cell_of_the_bar_is_a_time_of_the_log(scene: SimpleNamespace, width: int) -> None:
    controls = scene.FakeReplay()
    words = text_of(replay_line(controls, "", width))
    cells = [x for x, sign in enumerate(words) if sign in "━─"]
    times = [time_at(controls, width, x) for x in cells]
    length = (controls.end - controls.start) / len(cells)
    assert times == pytest.approx([controls.start + (n + 0.5) * length for n in range(len(cells))])
    assert time_at(controls, width, cells[0] - 1) is None
    assert time_at(controls, width, cells[-1] + 1) is None


def test_what_was_said_leaves_room_for_the_way_back() -> None:
    keys: Line = (Part("a acknowledge"),)
    said = Part("Written: turned wheels 14–17 and many more")
    assert text_of(keys_line(keys, None, False, 40)) == "a acknowledge"
    assert text_of(keys_line(keys, said, False, 30)) == "Written: turned wheels 14–17…"
    line = keys_line(keys, said, True, 40)
    assert text_of(line) == "Written: turned wheel…   u takes it back"
    assert width_of(line) == 40
