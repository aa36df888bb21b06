"""The page of alarms by key and by mouse."""

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from cavewatch.core import journal
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.screens.where import Where

Past = Callable[[], Any]


def text(scene: SimpleNamespace, pilot: Any) -> str:
    return "\n".join(scene.shown(pilot.app))


def plain(scene: SimpleNamespace, pilot: Any) -> str:
    """The words without frames and ends of lines."""
    return " ".join(text(scene, pilot).replace("│", " ").split())


async def press(pilot: Any, *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


async def test_what_stands_is_listed_with_state_and_time_and_explained(
    scene: SimpleNamespace, past: Past
) -> None:
    async with scene.dashboard(past(), 120, 40) as pilot:
        await press(pilot, "6")
        page = text(scene, pilot)
        assert "[now 2]" in page
        assert "unacknowledged, since 13:30" in page
        assert "returned, unacknowledged, since 06:30" in page
        for words in ("do ", "respond ", "if not done ", "likely causes "):
            assert f"\n  {words}" in page


async def test_the_views_are_turned_by_key(scene: SimpleNamespace, past: Past) -> None:
    async with scene.dashboard(past()) as pilot:
        await press(pilot, "6", "right")
        assert "[past 3, week]" in text(scene, pilot)
        assert "Sun  1 Mar 13:30  4 h 00    upper cave is too warm" in text(scene, pilot)
        assert "Tue  3 Mar 13:30  still on  lower cave is too dry" in text(scene, pilot)
        await press(pilot, "right")
        assert "raised              3, 0.4 a day" in text(scene, pilot)
        await press(pilot, "right")
        assert "[now 2]" in text(scene, pilot)
        await press(pilot, "left")
        assert "[figures, week]" in text(scene, pilot)


async def test_the_views_are_turned_by_a_click(scene: SimpleNamespace, past: Past) -> None:
    async with scene.dashboard(past()) as pilot:
        await press(pilot, "6")
        await scene.click(pilot, "figures, week")
        assert "[figures, week]" in text(scene, pilot)
        await scene.click(pilot, "past 3")
        assert "[past 3, week]" in text(scene, pilot)
        await scene.click(pilot, "4 h 00    upper cave is too warm")
        assert "what          upper cave is too warm" in text(scene, pilot)
        await scene.click(pilot, "now 2")
        assert "[now 2]" in text(scene, pilot)


async def test_a_longer_span_shows_more_of_the_past(scene: SimpleNamespace, past: Past) -> None:
    desk = past()
    desk.passed = [*desk.passed[:1], *desk.passed]
    desk.passed[0] = type(desk.passed[0])(
        scene.NOW - 20 * scene.DAY,
        State.NORM,
        desk.passed[0].trigger,
        replace(desk.passed[0].alarm, since=scene.NOW - 20 * scene.DAY, key="upper cave.other"),
    )
    over = replace(desk.passed[0].alarm, state=State.NORM)
    desk.passed.insert(
        1, type(desk.passed[0])(scene.NOW - 19 * scene.DAY, State.ACKED, Trigger.NORMAL, over)
    )
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "6", "right")
        assert "[past 3, week]" in text(scene, pilot)
        await press(pilot, "p")
        assert "[past 4, month]" in text(scene, pilot)
        assert "Wed 11 Feb 15:30" in text(scene, pilot)
        await press(pilot, "p", "p")
        assert "[past 3, week]" in text(scene, pilot)


async def test_the_cursor_of_the_past_explains_what_was(scene: SimpleNamespace, past: Past) -> None:
    async with scene.dashboard(past()) as pilot:
        await press(pilot, "6", "right", "end")
        assert "what          upper cave is too warm: 15.2 °C" in text(scene, pilot)
        assert "until         1 Mar 17:30, after 4 h 00" in text(scene, pilot)
        await press(pilot, "up")
        assert "what          upper cave humidity was silent for 20 min" in text(scene, pilot)


async def test_an_alarm_is_answered_from_now_and_from_the_past(
    scene: SimpleNamespace, past: Past
) -> None:
    desk = past()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "6", "right", "down", "a")
        assert desk.kept[-1].act == journal.Acknowledged(scene.SILENT.key)
        await press(pilot, "end", "a")
        assert "no alarm here that waits to be acknowledged" in text(scene, pilot)
        await press(pilot, "right", "right", "home", "z", "ctrl+s")
        shelved: Any = desk.kept[-1].act
        assert (shelved.alarm, shelved.until) == (scene.TOO_DRY.key, scene.NOW + 2 * scene.HOUR)
        await press(pilot, "o", *"new probe", "enter")
        assert desk.kept[-1].act == journal.OutOfService(scene.TOO_DRY.key, "new probe")


@pytest.mark.parametrize("label", ["a acknowledge", "z shelve", "o out of service"])
async def test_an_alarm_is_answered_by_a_click(
    scene: SimpleNamespace, past: Past, label: str
) -> None:
    desk = past()
    before = len(desk.kept)
    async with scene.dashboard(desk, 120, 40) as pilot:
        await press(pilot, "6")
        await scene.click(pilot, label)
        if label != "a acknowledge":
            for key in "so" if label.startswith("o") else "":
                await press(pilot, key)
            await scene.click(pilot, "Write (ctrl+s)")
    assert len(desk.kept) == before + 1
    assert desk.kept[-1].act.alarm == scene.TOO_DRY.key


async def test_a_latched_alarm_is_reset(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.alarms = [scene.alarm("lower cave.humidity low", "too dry", State.LATCHED_ACKED)]
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "6", "g")
    assert desk.kept[-1].act == journal.Reset("lower cave.humidity low")


async def test_a_place_is_suspended_and_said_to_be(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "6", "c", "ctrl+s")
        suspended: Any = desk.kept[-1].act
        assert suspended.until == scene.NOW + 1800
        assert f"no alarms of {suspended.place} until 16:00: cleaning (MK)" in text(scene, pilot)
        desk.at = scene.NOW + 1801
        pilot.app.tick()
        await pilot.pause()
        assert "no alarms of" not in text(scene, pilot)


async def test_a_dairy_without_alarms_says_so_in_every_view(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.quiet()) as pilot:
        await press(pilot, "6")
        assert "No alarm stands." in text(scene, pilot)
        await press(pilot, "right")
        assert "No alarm in this week." in text(scene, pilot)
        await press(pilot, "right", "down", "end")
        assert "the standard itself was not read" in text(scene, pilot).replace("\n  ", " ")


async def test_an_alarm_that_was_opened_is_the_one_under_the_cursor(
    scene: SimpleNamespace, past: Past
) -> None:
    async with scene.dashboard(past()) as pilot:
        pilot.app.open(Where.ALARMS, scene.SILENT.key)
        await pilot.pause()
        assert "what          upper cave humidity was silent" in text(scene, pilot)


async def test_a_standing_alarm_is_closed_and_stands_on(scene: SimpleNamespace, past: Past) -> None:
    desk = past()
    async with scene.dashboard(desk, 120, 40) as pilot:
        await press(pilot, "6")
        assert "done          no action on record; C enters one" in text(scene, pilot)
        await press(pilot, "C", *"wheels 5 and 6 brushed", "tab", *"door shut", "ctrl+s")
        assert desk.kept[-1].act == journal.Corrected(
            scene.TOO_DRY.key, "wheels 5 and 6 brushed", "door shut"
        )
        page = text(scene, pilot)
        assert "15:30: product: wheels 5 and 6 brushed; cause: door shut (MK)" in page
        assert "[now 2]" in page
        assert "u takes it back" in page
        await press(pilot, "u")
        assert "no action on record" in text(scene, pilot)


async def test_a_past_time_is_closed_with_a_time_that_is_its_own(
    scene: SimpleNamespace, past: Past
) -> None:
    desk = past()
    first = desk.passed[0].alarm
    back = replace(first, state=State.UNACK, since=scene.NOW - 5 * scene.HOUR)
    desk.passed.append(
        type(desk.passed[0])(scene.NOW - 5 * scene.HOUR, State.NORM, Trigger.ABNORMAL, back)
    )
    desk.passed.sort(key=lambda each: each.at)
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "6", "right", "end")
        await scene.click(pilot, "C close")
        await press(pilot, *"nothing: too short to matter", "enter")
        assert "came again at 2026-03-03 10:30:00" in plain(scene, pilot)
        await press(pilot, *["backspace"] * 3, *"2026-03-01 13:29", "enter")
        assert "came only at 2026-03-01 13:30:00" in plain(scene, pilot)
        await press(pilot, "backspace", "backspace", *"45", "ctrl+s")
        entry = desk.kept[-1]
        assert entry.act == journal.Corrected(first.key, "nothing: too short to matter")
        assert entry.at == scene.NOW - 49.75 * scene.HOUR
        rows = [row for row in scene.shown(pilot.app) if "upper cave is too warm" in row]
        assert [("no action" in row, "acted on" in row) for row in rows[:2]] == [
            (True, False),
            (False, True),
        ]


async def test_nothing_is_closed_where_no_alarm_is_chosen(
    scene: SimpleNamespace, past: Past
) -> None:
    async with scene.dashboard(past()) as pilot:
        await press(pilot, "6", "left", "C")
        assert "choose an alarm under now or past to close it" in text(scene, pilot)
