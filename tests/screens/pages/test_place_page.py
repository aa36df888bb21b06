"""The page of a place, driven by keys and by mouse."""

from types import SimpleNamespace
from typing import Any

import pytest

from cavewatch.screens.curves.spans import Span
from cavewatch.screens.pages.place import PlacePage
from cavewatch.screens.pages.wheel import WheelPage
from cavewatch.screens.painted import ItemList, Lines


def text(scene: SimpleNamespace, pilot: Any) -> str:
    return "\n".join(scene.shown(pilot.app))


async def press(pilot: Any, *keys: str) -> PlacePage:
    await pilot.press(*keys)
    await pilot.pause()
    page = pilot.app.page
    assert isinstance(page, PlacePage)
    return page


async def upper_cave(pilot: Any) -> PlacePage:
    page = await press(pilot, "2", "right", "right")
    assert page.subject == "upper cave"
    return page


@pytest.mark.parametrize(("width", "height"), [(120, 40), (80, 24), (40, 20)])
async def test_curves_range_and_who_is_there_are_seen_at_once(
    scene: SimpleNamespace, width: int, height: int
) -> None:
    async with scene.dashboard(scene.busy(), width, height) as pilot:
        await upper_cave(pilot)
        found = text(scene, pilot)
    for words in ("[day]", "12.9 °C", "11–14", "100 %", "⣀", "╵Tue 3", "1–4  Alpine type"):
        assert words in found
    rows = found.splitlines()
    assert len(rows) <= height
    assert all(len(row) <= width for row in rows)


async def test_the_span_is_changed_by_key_and_by_mouse(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        page = await upper_cave(pilot)
        await press(pilot, "p")
        assert page.looking.span is Span.WEEK
        assert "[week]" in text(scene, pilot)
        await press(pilot, "P", "P")
        assert page.looking.span is Span.HOUR
        curves = page.query_one("#curves", Lines)
        x = "".join(part.text for part in curves.lines[0]).index("season")
        await pilot.click(curves, offset=(x + 4, 0))
        await pilot.pause()
        assert page.looking.span is Span.SEASON
        assert "[season]" in text(scene, pilot)


async def test_the_cursor_is_moved_by_key_and_by_mouse(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        page = await upper_cave(pilot)
        await press(pilot, "comma")
        assert page.looking.cursor is not None
        assert "│" in text(scene, pilot)
        assert "dew point 1" in text(scene, pilot)
        await press(pilot, "full_stop")
        assert page.looking.cursor is None
        await press(pilot, "less_than_sign", "less_than_sign", "greater_than_sign", "comma")
        bins = page.bins
        assert page.looking.cursor == scene.NOW - 11 * 2 * bins.length
        # Two cells of padding, then eight for the values and a blank.
        await pilot.click(page.query_one("#curves", Lines), offset=(2 + 9 + 20, 4))
        await pilot.pause()
        assert page.looking.cursor == bins.since + (2 * 20 + 1) * bins.length


async def test_the_cursor_leads_into_the_past(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        page = await upper_cave(pilot)
        first = page.bins
        await press(pilot, *["less_than_sign"] * 9)
        assert page.looking.cursor is not None
        assert page.looking.cursor < first.since
        assert page.bins.until < scene.NOW
        assert "  12." in text(scene, pilot)
        assert "╵Mon 2" in text(scene, pilot)


async def test_one_curve_is_shown_large_and_all_again(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await upper_cave(pilot)
        for shown in ("temperature  12", "humidity  91", "dew point  11"):
            await press(pilot, "y")
            assert shown in text(scene, pilot)
        assert "temperature  12" not in text(scene, pilot)
        await press(pilot, "y")
        assert "temperature  12" in text(scene, pilot)
        assert "humidity  91" in text(scene, pilot)


async def test_the_other_places_keep_the_span(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await upper_cave(pilot)
        page = await press(pilot, "p", "right")
        assert page.subject == "lower cave"
        assert "[week]" in text(scene, pilot)
        assert "84 % LOW" in text(scene, pilot)


async def test_a_make_is_opened_by_key_and_by_mouse(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        page = await upper_cave(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.page, WheelPage)
        assert pilot.app.page.subject == "1"
        await press(pilot, "escape")
        await pilot.click(page.query_one("#list", ItemList), offset=(6, 0))
        await pilot.pause()
        assert isinstance(pilot.app.page, WheelPage)


async def test_a_sensor_in_the_list_opens_nothing(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await upper_cave(pilot)
        page = await press(pilot, "end", "enter")
        assert page.subject == "upper cave"


async def test_commands_are_meant_for_the_make_under_the_cursor(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        page = await upper_cave(pilot)
        assert page.target().chosen == (1, 2, 3, 4)
        await press(pilot, "end")
        assert page.target().chosen == ()
        assert page.target().here == (1, 2, 3, 4)


async def test_a_place_without_probe_and_wheels_has_a_page(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.FakeDesk()) as pilot:
        await press(pilot, "2", "p", "comma", "y")
        assert "There is no probe here" in text(scene, pilot)
        assert "no wheels here" in text(scene, pilot)


async def test_a_new_minute_changes_only_the_last_columns(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        page = await upper_cave(pilot)
        curves = page.query_one("#curves", Lines)
        before = ["".join(part.text for part in line) for line in curves.lines]
        desk.at += 60
        pilot.app.tick()
        await pilot.pause()
        after = ["".join(part.text for part in line) for line in curves.lines]
    drawn = [n for n, line in enumerate(before) if any("\u2800" < c <= "\u28ff" for c in line)]
    assert drawn
    for n in drawn:
        assert before[n][:-2] == after[n][:-2]
