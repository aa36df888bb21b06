"""The home page, driven by keys and mouse over a dairy in memory."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from textual.widgets import Button, Input

from cavewatch.core import journal
from cavewatch.core.alarms.table import State
from cavewatch.core.errors import CavewatchError
from cavewatch.core.place import Place, PlaceKind
from cavewatch.screens.form import Form
from cavewatch.screens.pages.alarms import AlarmsPage
from cavewatch.screens.pages.home import HomePage
from cavewatch.screens.pages.keys import KeysPage
from cavewatch.screens.painted import ItemList, Lines


def text(scene: SimpleNamespace, pilot: Any) -> str:
    return "\n".join(scene.shown(pilot.app))


async def press(pilot: Any, *keys: str) -> None:
    await pilot.press(*keys)
    await pilot.pause()


async def tick(pilot: Any) -> None:
    """What the timer does once a second."""
    pilot.app.tick()
    await pilot.pause()


# What is seen


@pytest.mark.parametrize(("width", "height"), [(120, 40), (80, 24)])
async def test_all_that_matters_is_visible_without_scrolling(
    scene: SimpleNamespace, width: int, height: int
) -> None:
    async with scene.dashboard(scene.busy(), width, height) as pilot:
        found = text(scene, pilot)
    for words in (
        "Hillside dairy",
        "15:30",
        "Lower cave is too dry: 84 %, at least 88 %. Shut the door",
        "unacknowledged",
        "returned, unacknowledged",
        *(place.name[:9] for place in scene.PLACES),
        "84 %",
        "◂ LOW",
        "brine 20.1 %",
        "turn late 12 min",
        "14–17",
        "out Thu 15:20, 12:50–20:10",
        "salt 0.3–0.4 % of 1.6 %",
        "turn in 11 h 30",
        "out Fri 03:00, 00:30–07:50",
        "? all keys",
    ):
        assert words in found
    assert "salt 0.0 % of 1.6 %" in found.splitlines()[-2] or height == 40


async def test_a_small_screen_shows_the_urgent_line_the_places_and_the_next_actions(
    scene: SimpleNamespace,
) -> None:
    async with scene.dashboard(scene.busy(), 40, 20) as pilot:
        rows = scene.shown(pilot.app)
        found = "\n".join(rows)
        assert pilot.app.screen.has_class("-narrow")
    assert len(rows) == 20
    assert max(len(row) for row in rows) <= 40
    for words in (
        "Lower cave is too dry: 84 %",
        "unacknowledged",
        "lower cave",
        "84 % LOW",
        "brine 20.1 %",
        "turn late 12 min",
        "turn in 11 h 30",
        "? all keys",
    ):
        assert words in found


async def test_a_quiet_day_has_nothing_bright(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.quiet()) as pilot:
        assert "Nothing is due before 19:30" in text(scene, pilot)
        bright = pilot.app.theme_variables["alert"].lower()
        assert bright not in pilot.app.export_screenshot().lower()
        pilot.app.screen.desk.read("lower cave.humidity", 80.0)
        await tick(pilot)
        assert bright in pilot.app.export_screenshot().lower()


async def test_an_empty_dairy_is_a_clear_screen(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.FakeDesk()) as pilot:
        found = text(scene, pilot)
        await press(pilot, "t")
        assert "there is no wheel yet; enter new wheels first" in text(scene, pilot)
    assert "Nothing is due: no wheel is in salt" in found
    assert "none" in found


async def test_the_notice_and_entries_that_did_not_fit_stand_on_top(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    desk.words = "recorder is not running"
    async with scene.dashboard(desk) as pilot:
        assert "recorder is not running" in scene.shown(pilot.app)[0]
        desk.words = ""
        desk.append(journal.Turned((99,)), scene.NOW, "MK")
        await tick(pilot)
        assert "there is no wheel 99" in scene.shown(pilot.app)[0]


async def test_a_resize_shares_out_the_rows_anew(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy(), 120, 40) as pilot:
        assert "last 24 h" in text(scene, pilot)
        await pilot.resize_terminal(40, 20)
        await pilot.pause()
        assert "last 24 h" not in text(scene, pilot)
        assert "84 % LOW" in text(scene, pilot)


@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"TERM": "linux", "COLORTERM": ""}])
async def test_without_colours_what_is_abnormal_is_reverse(
    scene: SimpleNamespace, monkeypatch: pytest.MonkeyPatch, environment: dict[str, str]
) -> None:
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    async with scene.dashboard(scene.busy()) as pilot:
        assert pilot.app.theme == "16 colours"
        strips = pilot.app.screen.query_one("#urgent", Lines).render_lines(
            pilot.app.screen.query_one("#urgent").size.region
        )
        styles = [segment.style for segment in strips[0] if segment.text.startswith("Lower")]
        assert [(s.reverse, s.color.is_default, s.bgcolor.is_default) for s in styles] == [
            (True, True, True)
        ]


async def test_all_is_ascii_where_nothing_else_can_be_shown(scene: SimpleNamespace) -> None:
    from cavewatch.screens import DashboardApp

    app = DashboardApp(scene.busy(), ascii_only=True)
    async with app.run_test(size=(120, 40)) as pilot:
        for keys in ((), ("n",), ("escape", "enter"), ("escape", "question_mark")):
            await press(pilot, *keys)
            assert text(scene, pilot).isascii()


# Economy


async def test_nothing_is_asked_or_painted_anew_while_nothing_changes(
    scene: SimpleNamespace,
) -> None:
    desk = scene.quiet()
    async with scene.dashboard(desk) as pilot:
        drawn, asked = desk.drawn, len(desk.asked)
        painted: list[object] = []
        for widget in pilot.app.screen.query("Lines, ItemList"):
            widget.refresh = lambda *regions, **_: painted.append(regions)
        for _ in range(3):
            await tick(pilot)
        assert (desk.drawn, len(desk.asked), painted) == (drawn, asked, [])


async def test_a_second_repaints_only_the_countdown_that_shows_seconds(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    desk.at += 20  # away from the full minutes of the other countdowns
    async with scene.dashboard(desk) as pilot:
        groups = pilot.app.screen.query_one("#groups", ItemList)
        painted: list[Any] = []
        groups.refresh = lambda *regions, **_: painted.extend(regions)
        desk.at += 1
        await tick(pilot)
        assert [(region.y, region.width < 25, region.height) for region in painted] == [
            (2, True, 1)
        ]


async def test_trends_are_asked_for_once_a_minute(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk, 120, 40) as pilot:
        asked = len(desk.asked)
        assert asked == len(desk.latest)
        desk.read("lower cave.humidity", 83.0)
        await tick(pilot)
        assert len(desk.asked) == asked
        desk.at += 60
        await tick(pilot)
        assert len(desk.asked) == 2 * asked


# Acts


@pytest.mark.parametrize(
    ("keys", "act"),
    [
        (("t", "enter"), journal.Turned((14, 15, 16, 17))),
        (("s", "enter"), journal.Salted((14, 15, 16, 17), 9.0)),
        (("l", "enter"), journal.Lifted((14, 15, 16, 17))),
        (("m", "enter"), journal.Moved((14, 15, 16, 17), "salting tray")),
        (("e", "enter"), journal.Ended((14, 15, 16, 17), journal.Ending.SOLD)),
        (("b", *"20 %", "enter"), journal.BrineMeasured("brine tub", 20.0)),
        (("w", *"soft", "enter"), journal.Noted("soft")),
        (("a",), journal.Acknowledged("lower cave.humidity low")),
        (("down", "t", "ctrl+s"), journal.Turned((18, 19))),
    ],
)
async def test_each_command_appends_its_act(
    scene: SimpleNamespace, keys: tuple[str, ...], act: journal.Act
) -> None:
    desk = scene.busy()
    before = len(desk.kept)
    async with scene.dashboard(desk) as pilot:
        await press(pilot, *keys)
        assert isinstance(pilot.app.screen, HomePage)
    (entry,) = desk.kept[before:]
    assert (entry.act, entry.at, entry.by) == (act, scene.NOW, "MK")


async def test_new_wheels_are_entered_by_typing(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "n", *"5 lb", "enter")
        assert "Written: new wheel 27 in brine tub" in text(scene, pilot)
        assert "being worked out" in text(scene, pilot)
    made: Any = desk.kept[-1].act
    assert (made.wheels, made.style) == ((27,), "alpine")
    assert made.weight == pytest.approx(2268, abs=0.1)


async def test_an_impossible_weight_is_told_as_it_is_typed_and_not_written(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    before = len(desk.kept)
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "n", *"5 parsnips")
        assert "'5 parsnips' is not a weight" in text(scene, pilot)
        await press(pilot, "enter", "ctrl+s")
        assert isinstance(pilot.app.screen, Form)
        assert pilot.app.focused is pilot.app.screen.query_one("#weight", Input)
    assert len(desk.kept) == before


async def test_confirmation_comes_only_after_the_entry_is_kept(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.refusal = "the card is full; free some space"
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "t", "enter")
        assert isinstance(pilot.app.screen, Form)
        assert "Not written: the card is full; free some space" in text(scene, pilot)
        desk.refusal = ""
        await press(pilot, "ctrl+s")
        assert "Written: turned wheels 14–17" in text(scene, pilot)


async def test_escape_and_the_cancel_button_write_nothing(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    before = len(desk.kept)
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "t", "escape")
        await press(pilot, "t")
        pilot.app.screen.query_one("#cancel", Button).press()
        await pilot.pause()
        assert isinstance(pilot.app.screen, HomePage)
    assert len(desk.kept) == before


async def test_in_the_list_of_places_an_action_is_for_all_that_is_there(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "shift+tab", "end", "m", "enter")
    assert desk.kept[-1].act == journal.Moved((5, 6, 7), "brine tub")


# Alarms


async def test_a_click_on_an_alarm_opens_its_explanation_and_a_key_acknowledges_it(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await pilot.click("#alarms", offset=(20, 1))
        await pilot.pause()
        assert isinstance(pilot.app.screen, AlarmsPage)
        found = text(scene, pilot)
        for words in ("The rind cracks", "Door open", "Wet the floor", "within 4 h", "RTNUN"):
            assert (words in found) == (words != "RTNUN")
        assert "what          upper cave humidity was silent" in found
        await press(pilot, "a", "escape")
        assert isinstance(pilot.app.screen, HomePage)
    assert desk.kept[-1].act == journal.Acknowledged(scene.SILENT.key)
    assert {alarm.key: alarm.state for alarm in desk.alarms} == {
        scene.SILENT.key: State.NORM,
        scene.TOO_DRY.key: State.UNACK,
    }


async def test_enter_opens_the_alarm_under_the_cursor(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await press(pilot, "shift+tab", "shift+tab", "enter")
        assert "what          lower cave is too dry" in text(scene, pilot)
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, HomePage)


async def test_an_alarm_that_needs_nobody_cannot_be_acknowledged(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.alarms = [replace(scene.TOO_DRY, state=State.ACKED)]
    before = len(desk.kept)
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "a")
        assert "there is no alarm here that waits to be acknowledged" in text(scene, pilot)
    assert len(desk.kept) == before


async def test_the_page_of_alarms_says_when_none_stands_any_more(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "shift+tab", "shift+tab", "enter")
        desk.alarms = []
        desk.read("lower cave.humidity", 91.0)
        await tick(pilot)
        assert "No alarm stands." in text(scene, pilot)


async def test_the_cursor_stays_on_its_alarm_when_another_comes_before_it(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    desk.alarms = [scene.SILENT]
    async with scene.dashboard(desk) as pilot:
        desk.alarms = [scene.TOO_DRY, scene.SILENT]
        desk.read("lower cave.humidity", 84.0)
        await tick(pilot)
        alarms = pilot.app.screen.query_one("#alarms", ItemList)
        assert (alarms.cursor, alarms.key) == (1, scene.SILENT.key)


# Hostile data


HOSTILE = "[red]x[/] \x1b[2J\x1b]0;owned\x07 [@click=app.quit]go"


async def test_hostile_names_notes_and_alarms_reach_no_terminal_and_no_markup(
    scene: SimpleNamespace,
) -> None:
    desk = scene.FakeDesk((Place("[b]tub\x1b[31m", PlaceKind.CAVE, {}),))
    desk.title = HOSTILE
    desk.words = HOSTILE
    desk.styles = {"evil": scene.style("evil", HOSTILE, (8.0, 12.0), (80.0, 90.0))}
    act = scene.made(1, kind="evil", place="[b]tub\x1b[31m", lot=HOSTILE)
    desk.append(act, scene.NOW - 3600, "MK")
    desk.solve()
    desk.countdowns = {n: replace(c, reason=HOSTILE) for n, c in desk.countdowns.items()}
    desk.read("[b]tub\x1b[31m.temperature", 12.0)
    told = scene.alarm("x", HOSTILE)
    desk.alarms = [told, replace(told, key=HOSTILE)]
    desk.refusal = HOSTILE
    async with scene.dashboard(desk, 120, 40) as pilot:
        for keys in (
            (),
            ("enter",),
            ("escape", "shift+tab", "enter"),
            ("escape", "shift+tab", "enter"),
            ("a",),
            ("escape", "n"),
            ("escape", "t"),
            ("enter",),
            ("escape", "ctrl+p"),
        ):
            await press(pilot, *keys)
            for strip in pilot.app.screen._compositor.render_strips():
                assert all(c.isprintable() for c in strip.text)
        await press(pilot, "escape", "escape")
        assert "[red]x[/]" in text(scene, pilot)
        assert pilot.app.is_running


# Around


async def test_a_picture_that_cannot_be_read_is_told_and_the_dashboard_lives(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:

        def broken() -> bool:
            raise CavewatchError("the store cannot be read")

        works, desk.changed = desk.changed, broken
        await tick(pilot)
        await tick(pilot)
        assert "the store cannot be read" in scene.shown(pilot.app)[0]
        desk.changed = works
        await tick(pilot)
        assert "the store cannot be read" not in text(scene, pilot)


async def test_the_page_of_keys_lists_them_and_the_palette_finds_commands(
    scene: SimpleNamespace,
) -> None:
    async with scene.dashboard(scene.busy(), 80, 40) as pilot:
        await press(pilot, "question_mark")
        assert isinstance(pilot.app.screen, KeysPage)
        assert "Take back what was just entered" in text(scene, pilot)
        await press(pilot, "escape", "ctrl+p", *"turned")
        await pilot.app.workers.wait_for_complete()
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, Form)


async def test_a_click_on_a_key_gives_its_command(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        x = scene.shown(pilot.app)[-1].index("? all keys")
        await pilot.click("#keys", offset=(x + 1, 0))
        await pilot.pause()
        assert isinstance(pilot.app.screen, KeysPage)


async def test_q_leaves(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await press(pilot, "q")
        assert not pilot.app.is_running
