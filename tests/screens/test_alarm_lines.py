"""Alarms as text."""

from dataclasses import replace
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest

from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.alarms.table import State
from cavewatch.screens.alarms import alarm_lines
from cavewatch.screens.lines import Role, text_of, width_of

UTC = ZoneInfo("UTC")


def drawn(alarm: Alarm, now: float, width: int, rows: int) -> list[str]:
    return [text_of(line) for line in alarm_lines(alarm, now, UTC, width, rows)]


def test_an_alarm_says_its_priority_what_its_state_and_since_when(scene: SimpleNamespace) -> None:
    assert drawn(scene.TOO_DRY, scene.NOW, 90, 1) == [
        "HIGH   lower cave is too dry: 84 %, at least 88 %"
        + "unacknowledged, since 13:30".rjust(41)
    ]


def test_where_it_is_narrow_the_time_gives_way_to_what_is_wrong(scene: SimpleNamespace) -> None:
    assert drawn(scene.SILENT, scene.NOW, 77, 1) == [
        "low    upper cave humidity was silent for 20 min" + "returned, unacknowledged".rjust(29)
    ]
    assert drawn(scene.SILENT, scene.NOW, 37, 2) == [
        "low    upper cave humidity was silen…",
        "  returned, unacknowledged",
    ]
    assert drawn(scene.TOO_DRY, scene.NOW, 37, 2)[1] == "  unacknowledged, since 13:30"


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (State.UNACK, "unacknowledged"),
        (State.ACKED, " acknowledged"),
        (State.RTNUN, "returned, unacknowledged"),
    ],
)
def test_only_an_unacknowledged_alarm_is_bright(
    scene: SimpleNamespace, state: State, words: str
) -> None:
    (line,) = alarm_lines(replace(scene.TOO_DRY, state=state), scene.NOW, UTC, 100, 1)
    assert words in text_of(line)
    assert (Role.ALERT in {part.role for part in line}) == (state is State.UNACK)


@pytest.mark.parametrize(("width", "rows"), [(37, 2), (57, 2), (77, 1), (117, 1)])
def test_no_line_of_an_alarm_is_wider_than_the_screen(
    scene: SimpleNamespace, width: int, rows: int
) -> None:
    for alarm in (scene.TOO_DRY, scene.SILENT):
        lines = alarm_lines(alarm, scene.NOW, UTC, width, rows)
        assert len(lines) == rows
        assert all(width_of(line) <= width for line in lines)
