"""The pages and the ways between them, by key and by mouse."""

from types import SimpleNamespace
from typing import Any

import pytest

from cavewatch.core import journal
from cavewatch.screens.form import Form
from cavewatch.screens.page import Page
from cavewatch.screens.painted import ItemList
from cavewatch.screens.where import Where


def text(scene: SimpleNamespace, pilot: Any) -> str:
    return "\n".join(scene.shown(pilot.app))


async def press(pilot: Any, *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


def trail(pilot: Any) -> list[tuple[str, str]]:
    return [(p.where.value, p.subject) for p in pilot.app.screen_stack if isinstance(p, Page)]


@pytest.mark.parametrize(
    ("digit", "where", "subject"),
    [
        ("2", "place", "salting tray"),
        ("3", "wheel", "14"),
        ("4", "tub", "brine tub"),
        ("5", "planner", "brine tub"),
        ("6", "alarms", ""),
        ("7", "due", ""),
        ("8", "journal", ""),
    ],
)
async def test_a_digit_leads_to_its_page_and_escape_back(
    scene: SimpleNamespace, digit: str, where: str, subject: str
) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await press(pilot, digit)
        assert trail(pilot) == [("home", ""), (where, subject)]
        await press(pilot, "escape", "escape")
        assert trail(pilot) == [("home", "")]


async def test_a_digit_leaves_the_trail_and_escape_follows_it_back(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await press(pilot, "7", "enter")
        assert trail(pilot) == [("home", ""), ("due", ""), ("wheel", "14")]
        await press(pilot, "4")
        assert trail(pilot) == [("home", ""), ("tub", "brine tub")]
        await press(pilot, "7", "enter", "escape")
        assert trail(pilot) == [("home", ""), ("due", "")]
        await press(pilot, "1")
        assert trail(pilot) == [("home", "")]


async def test_a_digit_takes_what_the_cursor_is_on_along(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await press(pilot, "down", "3")
        assert pilot.app.page.heading() == "wheel 18"
        await press(pilot, "escape", "shift+tab", "end", "2")
        assert pilot.app.page.subject == "lower cave"
        await press(pilot, "3")
        assert pilot.app.page.subject == "5"


async def test_left_and_right_step_through_wheels_and_places(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await press(pilot, "3", "right")
        assert "wheel 15" in scene.shown(pilot.app)[0]
        await press(pilot, "left", "left")
        assert pilot.app.page.subject == "9"
        await press(pilot, "2")
        seen = []
        for _ in range(4):
            seen.append(pilot.app.page.subject)
            await press(pilot, "right")
        assert sorted(seen) == ["drying rack", "lower cave", "salting tray", "upper cave"]
        assert pilot.app.page.subject == seen[0]


@pytest.mark.parametrize(
    ("words", "where", "subject"),
    [
        ("upper cave humidity was silent", "alarms", "upper cave.humidity silent"),
        ("lower cave     9.4", "place", "lower cave"),
        ("brine tub     12.6", "tub", "brine tub"),
        ("turn in 3 h 00", "wheel", "20"),
        ("Lower cave is too dry", "alarms", "lower cave.humidity low"),
        ("? all keys", "keys", "home"),
    ],
)
async def test_a_click_opens_what_it_hits(
    scene: SimpleNamespace, words: str, where: str, subject: str
) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await scene.click(pilot, words)
        assert trail(pilot)[-1] == (where, subject)


async def test_a_click_on_the_urgent_thing_of_a_calm_hour_opens_what_is_due(
    scene: SimpleNamespace,
) -> None:
    async with scene.dashboard(scene.quiet()) as pilot:
        await scene.click(pilot, "Nothing is due before")
        assert pilot.app.page.where is Where.DUE


async def test_on_a_tall_screen_the_pages_stand_in_a_line_to_be_clicked(
    scene: SimpleNamespace,
) -> None:
    async with scene.dashboard(scene.busy(), 120, 40) as pilot:
        await scene.click(pilot, "8 journal")
        assert pilot.app.page.where is Where.JOURNAL
        await scene.click(pilot, "esc back")
        assert pilot.app.page.where is Where.HOME


async def test_every_command_can_be_given_from_the_page_of_keys(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy(), 120, 40) as pilot:
        await press(pilot, "4", "question_mark")
        assert "keys of the tub page" in scene.shown(pilot.app)[0]
        await scene.click(pilot, "Enter a test of a brine")
        assert isinstance(pilot.app.screen, Form)
        assert pilot.app.screen.heading == "Brine measured"
        await press(pilot, "escape")
        assert trail(pilot) == [("home", ""), ("tub", "brine tub")]


async def test_on_a_page_commands_are_for_what_it_is_about(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "3", "right", "t", "enter")
        assert desk.kept[-1].act == journal.Turned((15,))
        await press(pilot, "6", "down", "a")
        assert desk.kept[-1].act == journal.Acknowledged(scene.SILENT.key)
        await press(pilot, "7", "down", "down", "t", "enter")
        assert desk.kept[-1].act == journal.Turned((18, 19))
        await press(pilot, "1", "shift+tab", "end", "2", "m", "enter")
        assert desk.kept[-1].act == journal.Moved((5, 6, 7), "brine tub")


async def test_an_entry_of_the_journal_is_voided_with_a_reason(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    newest = max(desk.kept, key=lambda entry: entry.at)
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "8", "v", *"slip", "enter")
        assert desk.kept[-1].act == journal.Voided(newest.id, "slip")
        assert "void: new wheel 26" in text(scene, pilot)


@pytest.mark.parametrize("size", [(40, 20), (80, 24), (120, 40)])
@pytest.mark.parametrize("digit", "12345678?")
async def test_every_page_fits_every_screen(
    scene: SimpleNamespace, digit: str, size: tuple[int, int]
) -> None:
    async with scene.dashboard(scene.busy(), *size) as pilot:
        await press(pilot, digit.replace("?", "question_mark"))
        rows = scene.shown(pilot.app)
        assert len(rows) <= size[1]
        assert max(len(row) for row in rows) <= size[0]
        assert "esc back" in rows[-1] + rows[-2] or digit == "1"
        await pilot.resize_terminal(*reversed(size))
        await pilot.pause()
        assert max(len(row) for row in scene.shown(pilot.app)) <= size[1]


@pytest.mark.parametrize("digit", "2345678")
async def test_every_page_of_an_empty_dairy_is_clear(scene: SimpleNamespace, digit: str) -> None:
    async with scene.dashboard(scene.FakeDesk(())) as pilot:
        await press(pilot, digit)
        assert pilot.app.page.where is not Where.HOME
        # On the planner, down opens the list of styles, in which letters look for one.
        await press(pilot, "right", *([] if digit == "5" else ["down"]), "c", "m")
        assert pilot.app.page.where is not Where.HOME
        assert "there is no wheel yet; enter new wheels first" in text(scene, pilot)


async def test_a_page_beneath_is_fresh_when_it_is_seen_again(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "7")
        desk.read("lower cave.temperature", 10.7)
        pilot.app.tick()
        await press(pilot, "escape")
        assert "10.7 °C" in text(scene, pilot)


@pytest.mark.parametrize("digit", "2345678")
async def test_a_page_repaints_nothing_while_nothing_changes(
    scene: SimpleNamespace, digit: str
) -> None:
    async with scene.dashboard(scene.quiet()) as pilot:
        await press(pilot, digit)
        painted: list[object] = []
        for widget in pilot.app.screen.query("Lines, ItemList, Scrolled"):
            widget.refresh = lambda *regions, **_: painted.append(regions)
        for _ in range(3):
            pilot.app.tick()
        await pilot.pause()
        assert painted == []


async def test_the_cursor_of_the_alarms_explains_each(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await press(pilot, "6", "end")
        assert "what          upper cave humidity was silent" in text(scene, pilot)
        assert pilot.app.page.query_one("#list", ItemList).cursor == 1
