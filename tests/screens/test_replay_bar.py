"""The replay in the dashboard: its bar on every page, its keys, its skips."""

from collections.abc import Callable
from threading import Event, current_thread, main_thread
from types import SimpleNamespace
from typing import Any

import pytest

from cavewatch.core.errors import CavewatchError
from cavewatch.screens.pages.home import HomePage


def text(scene: SimpleNamespace, pilot: Any) -> str:
    return "\n".join(scene.shown(pilot.app))


async def press(pilot: Any, *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


@pytest.fixture
def replayed(scene: SimpleNamespace) -> Any:
    desk = scene.busy()
    desk.replay = scene.FakeReplay()
    return desk


async def finished(pilot: Any) -> None:
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


@pytest.mark.parametrize("digit", "1234678")
async def test_every_page_has_the_bar_and_its_keys(
    scene: SimpleNamespace, replayed: Any, digit: str
) -> None:
    async with scene.dashboard(replayed, 100, 30) as pilot:
        await press(pilot, digit)
        for words in ("×600 running", "nothing entered is kept", "42%"):
            assert words in text(scene, pilot)
        await press(pilot, "space")
        assert "×600 paused" in text(scene, pilot)
        await press(pilot, "space", "plus")
        assert "×6000 running" in text(scene, pilot)
        await press(pilot, "minus", "minus")
        assert "×60 running" in text(scene, pilot)


async def test_on_the_planner_where_keys_are_typed_the_footer_pauses(
    scene: SimpleNamespace, replayed: Any
) -> None:
    async with scene.dashboard(replayed, 100, 30) as pilot:
        await press(pilot, "5")
        assert "×600 running" in text(scene, pilot)
        keys = scene.shown(pilot.app)[-1]
        await pilot.click("#keys", offset=(keys.index("space pause") + 1, 0))
        await pilot.pause()
        assert "×600 paused" in text(scene, pilot)


@pytest.mark.parametrize(("key", "count"), [("x", "skipped"), ("X", "entered")])
async def test_a_key_skips_to_the_next_alarm_or_entry(
    scene: SimpleNamespace, replayed: Any, key: str, count: str
) -> None:
    async with scene.dashboard(replayed) as pilot:
        await press(pilot, key)
        await finished(pilot)
        assert getattr(replayed.replay, count) == 1


async def test_a_typed_time_is_echoed_and_gone_to(scene: SimpleNamespace, replayed: Any) -> None:
    async with scene.dashboard(replayed, 100, 30) as pilot:
        await press(pilot, "T", *"tomorrow 06:40")
        assert "= Wed 04 Mar 06:40, in 15 h 10 min" in text(scene, pilot)
        await press(pilot, "enter")
        await finished(pilot)
        assert replayed.replay.went == [scene.NOW + 15 * scene.HOUR + 600]


async def test_a_time_outside_the_log_says_why_at_once(
    scene: SimpleNamespace, replayed: Any
) -> None:
    async with scene.dashboard(replayed, 120, 30) as pilot:
        await press(pilot, "T", *"2026-05-01 12:00", "enter")
        assert "! the log runs from 2026-02-27 15:30 to" in text(scene, pilot)
        await press(pilot, "escape")
        assert replayed.replay.went == []


async def test_a_click_on_the_bar_goes_to_its_time(scene: SimpleNamespace, replayed: Any) -> None:
    async with scene.dashboard(replayed, 60, 30) as pilot:
        await scene.click(pilot, "━━━")
        await finished(pilot)
        span = replayed.replay.end - replayed.replay.start
        assert replayed.replay.went == [pytest.approx(replayed.replay.start + span / 16)]


def slowly(desk: Any, scene: SimpleNamespace, where: list[bool]) -> Callable[[], None]:
    """A skip that lasts until it is stopped."""
    stopped = Event()

    def skip() -> None:
        where.append(current_thread() is main_thread())
        stopped.wait(30)
        desk.at += scene.HOUR

    desk.replay.stop = stopped.set
    return skip


async def test_a_skip_runs_in_a_thread_and_leaves_the_desk_alone_until_escape_stops_it(
    scene: SimpleNamespace, replayed: Any
) -> None:
    asked: list[int] = []
    where: list[bool] = []
    replayed.replay.next_alarm = slowly(replayed, scene, where)
    async with scene.dashboard(replayed) as pilot:
        await press(pilot, "x")
        assert "on the way to the next alarm  esc stops" in text(scene, pilot)
        replayed.changed = lambda: bool(asked.append(1))
        before = replayed.drawn
        replayed.replay.progress = 0.77
        pilot.app.tick()
        await pilot.pause()
        assert "77%" in text(scene, pilot)
        await press(pilot, "t", "enter", "2")
        await pilot.resize_terminal(90, 30)
        await pilot.pause()
        assert isinstance(pilot.app.screen, HomePage)
        assert (asked, replayed.drawn, where) == ([], before, [False])
        await press(pilot, "escape")
        await finished(pilot)
        assert "16:30" in scene.shown(pilot.app)[0]
        assert "×600 running" in text(scene, pilot)


async def test_escape_stops_a_skip_and_does_not_leave_the_page(
    scene: SimpleNamespace, replayed: Any
) -> None:
    replayed.replay.next_alarm = slowly(replayed, scene, [])
    async with scene.dashboard(replayed) as pilot:
        await press(pilot, "7", "x", "escape")
        await finished(pilot)
        assert pilot.app.page.heading() == "due"
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, HomePage)


async def test_a_skip_that_fails_is_told(scene: SimpleNamespace, replayed: Any) -> None:
    def broken() -> None:
        raise CavewatchError("line 7 of the log cannot be read")

    replayed.replay.next_alarm = broken
    async with scene.dashboard(replayed) as pilot:
        await press(pilot, "x")
        await finished(pilot)
        assert "line 7 of the log cannot be read" in text(scene, pilot)


async def test_replay_keys_do_nothing_when_live(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await press(pilot, "space", "plus", "minus", "x", "X", "T")
        assert isinstance(pilot.app.screen, HomePage)
        assert "replay" not in text(scene, pilot)
