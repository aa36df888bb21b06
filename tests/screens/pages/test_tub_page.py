"""The page of a tub, driven by keys and by mouse."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from cavewatch.core.journal import BrineMeasured, BrineWork, Tended, Voided
from cavewatch.screens.curves.spans import Span
from cavewatch.screens.form import Form
from cavewatch.screens.pages.tub import TubPage
from cavewatch.screens.pages.wheel import WheelPage
from cavewatch.screens.painted import ItemList, Lines


def text(scene: SimpleNamespace, pilot: Any) -> str:
    return "\n".join(scene.shown(pilot.app))


async def press(pilot: Any, *keys: str) -> TubPage:
    await pilot.press(*keys)
    await pilot.pause()
    page = pilot.app.page
    assert isinstance(page, TubPage)
    return page


@pytest.mark.parametrize(("width", "height"), [(120, 40), (80, 24), (40, 20)])
async def test_strength_and_what_restores_it_are_seen_at_once(
    scene: SimpleNamespace, width: int, height: int
) -> None:
    async with scene.dashboard(scene.salted_tub(), width, height) as pilot:
        await press(pilot, "4")
        found = text(scene, pilot)
    for words in ("[month]", "strength  19.9", "wanted 20.1 %", "◆", "to restore", "of salt"):
        assert words in found
    rows = found.splitlines()
    assert len(rows) <= height
    assert all(len(row) <= width for row in rows)


async def test_everything_that_is_known_of_it_is_listed(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.salted_tub(), 120, 60) as pilot:
        await press(pilot, "4", "end")
        page = await press(pilot)
        items = page.query_one("#list", ItemList).items
        found = "\n".join("".join(p.text for p in line) for item in items for line in item.lines)
    for words in (
        "due now ",
        "14–17  Washed curd",
        "takes  ",
        "measured  ",
        "18.9 %",
        "cheese  ",
        "9.2 kg lifted out",
        "found  ",
        "pH 5.2",
        "filtered Sat",
        "stir well",
        "temperature sensor",
    ):
        assert words in found or words.replace("Sat", "21 Feb") in found


async def test_the_cursor_tells_the_strength_and_what_was_done(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.salted_tub(), 120, 40) as pilot:
        page = await press(pilot, "4")
        curves = page.query_one("#curves", Lines)
        at = scene.NOW - 12 * scene.DAY
        column = page.bins.index(at) // 2
        await pilot.click(curves, offset=(2 + 9 + column, 3))
        await pilot.pause()
        found = text(scene, pilot)
        assert page.looking.cursor == pytest.approx(at, abs=2 * page.bins.length)
        assert "strength 18.9 %" in found
        assert "18.9 %" in found
        await press(pilot, "full_stop", "P")
        assert page.looking.span is Span.WEEK


async def test_one_curve_is_shown_large_and_all_again(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.salted_tub(), 120, 40) as pilot:
        await press(pilot, "4", "y")
        assert "strength  19.9" in text(scene, pilot)
        assert "temperature  12.6" not in text(scene, pilot)
        await press(pilot, "y")
        assert "strength  19.9" not in text(scene, pilot)
        assert "temperature  12.6" in text(scene, pilot)
        await press(pilot, "y")
        assert "strength  19.9" in text(scene, pilot)
        assert "temperature  12.6" in text(scene, pilot)


async def test_a_test_is_entered_by_key(scene: SimpleNamespace) -> None:
    desk = scene.salted_tub()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "4", "b")
        assert isinstance(pilot.app.screen, Form)
        await pilot.press(*"19.8 %", "enter")
        await pilot.pause()
        assert desk.kept[-1].act == BrineMeasured("brine tub", strength=19.8)
        assert "strength  19.8 %" in text(scene, pilot)
        await press(pilot, "u")
        assert isinstance(desk.kept[-1].act, Voided)
        assert "strength  19.9" in text(scene, pilot)


async def test_work_is_entered_by_key_and_by_mouse(scene: SimpleNamespace) -> None:
    desk = scene.salted_tub()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "4", "B", "ctrl+s")
        assert desk.kept[-1].act == Tended("brine tub", BrineWork.RESTORED)
        await scene.click(pilot, "to restore")
        assert isinstance(pilot.app.screen, Form)
        await press(pilot, "escape")
        await scene.click(pilot, "due now")
        assert isinstance(pilot.app.screen, Form)
        assert pilot.app.screen.heading == "Brine measured"


async def test_wheels_in_it_are_opened(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.salted_tub()) as pilot:
        await press(pilot, "4")
        await scene.click(pilot, "14–17  Washed")
        assert isinstance(pilot.app.page, WheelPage)
        assert pilot.app.page.subject == "14"


async def test_a_weak_brine_is_the_bright_thing(scene: SimpleNamespace) -> None:
    desk = scene.salted_tub()
    desk.alarms = [scene.alarm("brine tub brine weak", "the brine in brine tub is too weak")]
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "4")
        assert " WEAK" in text(scene, pilot)


async def test_without_volume_the_way_to_it_is_told(scene: SimpleNamespace) -> None:
    tub = scene.PLACES[0]
    places = (replace(tub, brine=replace(tub.brine, litres=None)), *scene.PLACES[1:])
    async with scene.dashboard(scene.FakeDesk(places)) as pilot:
        await press(pilot, "4")
        assert "measure its volume and strength first" in text(scene, pilot)


async def test_a_dairy_without_tub_is_clear(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.FakeDesk(scene.PLACES[1:])) as pilot:
        await press(pilot, "4", "p", "y", "comma")
        assert "nothing more to see" in text(scene, pilot)
