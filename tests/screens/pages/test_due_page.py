"""The page of what is due: done with one key, several at once, taken back."""

from types import SimpleNamespace
from typing import Any

from cavewatch.core import journal
from cavewatch.core.journal import Against, SensorChecked
from cavewatch.core.reading import Quantity
from cavewatch.core.signal.record import KEEPS
from cavewatch.screens.form import Form
from cavewatch.screens.painted import ItemList


def text(scene: SimpleNamespace, pilot: Any) -> str:
    return "\n".join(scene.shown(pilot.app))


async def press(pilot: Any, *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


async def to(pilot: Any, words: str) -> None:
    """Move the cursor to the work with these words."""
    listed = pilot.app.page.query_one("#list", ItemList)
    for item in listed.items:
        if words in "".join(part.text for line in item.lines for part in line):
            listed.go_to(item.key)
    await pilot.pause()


async def test_late_work_comes_first_with_how_late(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await press(pilot, "7")
        rows = scene.shown(pilot.app)
        first = next(n for n, row in enumerate(rows) if row.strip() == "late, 2")
        assert rows[first + 1].startswith("▸   late 12 min    15:18  turn wheels 14–17")


async def test_a_turn_is_done_with_one_key_and_taken_back_with_another(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "7", "y")
        entry = desk.kept[-1]
        assert (entry.act, entry.at, entry.by) == (
            journal.Turned((14, 15, 16, 17)),
            scene.NOW,
            "MK",
        )
        assert "Written: turned wheels 14–17" in text(scene, pilot)
        await press(pilot, "u")
        assert desk.kept[-1].act == journal.Voided(entry.id, "taken back")


async def test_several_are_picked_and_done_at_once_and_taken_back_together(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    before = len(desk.kept)
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "7", "p", "p")
        assert "2 picked: y enters that they are done" in text(scene, pilot)
        assert "■ late 12 min" in text(scene, pilot)
        await press(pilot, "y")
        assert [entry.act for entry in desk.kept[before:]] == [
            journal.Turned((14, 15, 16, 17)),
            journal.Salted((14, 15, 16, 17), 9.0),
        ]
        assert "picked" not in text(scene, pilot)
        await press(pilot, "u")
        assert len(journal.standing(desk.kept)) == before


async def test_what_is_picked_twice_is_not_picked(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await press(pilot, "7", "p", "up", "p")
        assert "picked" not in text(scene, pilot)
        assert "■" not in text(scene, pilot)


async def test_work_is_picked_and_done_by_clicks(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    before = len(desk.kept)
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "7")
        await scene.click(pilot, "p pick")
        await scene.click(pilot, "p pick")
        await scene.click(pilot, "y done")
        assert len(desk.kept) == before + 2
        await scene.click(pilot, "u takes it back")
        assert len(journal.standing(desk.kept)) == before


async def test_a_lift_asks_where_the_wheels_went(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk, 120, 40) as pilot:
        await press(pilot, "7")
        await to(pilot, "lift wheels 14–17")
        await press(pilot, "y")
        assert isinstance(pilot.app.screen, Form)
        await press(pilot, "ctrl+s")
    assert desk.kept[-1].act == journal.Lifted((14, 15, 16, 17), None)


async def test_of_work_picked_together_what_needs_telling_stays_for_its_form(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk, 120, 40) as pilot:
        await press(pilot, "7", "p")
        await to(pilot, "lift wheel 26")
        await press(pilot, "p", "y")
        assert desk.kept[-1].act == journal.Turned((14, 15, 16, 17))
        assert "still to do: 1" in text(scene, pilot)
        await press(pilot, "y")
        assert isinstance(pilot.app.screen, Form)
        await press(pilot, "ctrl+s")
    assert desk.kept[-1].act == journal.Lifted((26,), None)


async def test_a_test_of_the_brine_opens_its_form(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.append(journal.BrineMeasured("brine tub", strength=20.0), scene.NOW - 9 * scene.DAY, "MK")
    async with scene.dashboard(desk, 120, 40) as pilot:
        await press(pilot, "7")
        await to(pilot, "test the brine in brine tub")
        await press(pilot, "y")
        assert isinstance(pilot.app.screen, Form)
        assert pilot.app.screen.heading == "Brine measured"


async def test_an_old_check_of_a_sensor_is_late_and_says_how_it_is_done(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    checked = SensorChecked("lower cave.humidity", Against.TABLE_SALT, 74.0, 1.5, 0.5, True)
    late = 2 * scene.DAY
    desk.append(checked, scene.NOW - KEEPS[Quantity.HUMIDITY] - late, "MK")
    async with scene.dashboard(desk, 120, 40) as pilot:
        await press(pilot, "7")
        assert "late 2 d 0 h   1 Mar 15:30" in text(scene, pilot)
        await to(pilot, "check the humidity sensor of lower cave")
        await press(pilot, "y")
        assert "cavewatch sensor check salt 'lower cave.humidity'" in text(scene, pilot)
        await press(pilot, "enter")
        assert (pilot.app.page.where.value, pilot.app.page.subject) == ("place", "lower cave")


async def test_a_picked_task_that_is_gone_is_not_done(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "7", "p")
        desk.append(journal.Turned((14, 15, 16, 17)), scene.NOW, "AB")
        desk.solve()
        before = len(desk.kept)
        pilot.app.tick()
        await pilot.pause()
        assert "picked" not in text(scene, pilot)
        await press(pilot, "y")
    assert desk.kept[before:] == [desk.kept[-1]]
    assert desk.kept[-1].act != journal.Turned((14, 15, 16, 17))


async def test_nothing_due_is_said(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.FakeDesk()) as pilot:
        await press(pilot, "7")
        assert "Nothing is due, now or later." in text(scene, pilot)
        await press(pilot, "p")
        assert "nothing is due, so there is nothing to pick" in text(scene, pilot)
        await press(pilot, "y")
        assert "nothing is due, so nothing can be done" in text(scene, pilot)


async def test_a_heading_is_not_opened_by_a_click(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await press(pilot, "7")
        await scene.click(pilot, "today, Tue 3 Mar")
        assert pilot.app.page.where.value == "due"
        await scene.click(pilot, "turn wheels 18, 19")
        assert pilot.app.page.subject == "18"
