"""The page of the journal: searched, corrected, added to; a year of it."""

import random
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

from textual.widgets import Input

from cavewatch.core import journal
from cavewatch.core.journal import Entry
from cavewatch.screens.long_list import LongList

Past = Callable[[], Any]


def text(scene: SimpleNamespace, pilot: Any) -> str:
    return "\n".join(scene.shown(pilot.app))


async def press(pilot: Any, *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


def listed(pilot: Any) -> LongList:
    found: LongList = pilot.app.page.query_one("#list", LongList)
    return found


async def test_the_newest_comes_first_and_is_told_whole_below(
    scene: SimpleNamespace, past: Past
) -> None:
    async with scene.dashboard(past()) as pilot:
        await press(pilot, "8")
        rows = scene.shown(pilot.app)
        assert rows[3].startswith("▸ Tue  3 Mar 15:20  MK   suppressed alarms of drying rack")
        assert "until         Tue 3 Mar 2026 16:30" in text(scene, pilot)
        await press(pilot, "down")
        assert "lowest board" in text(scene, pilot)


async def test_a_correction_stands_beside_what_it_corrects(
    scene: SimpleNamespace, past: Past
) -> None:
    async with scene.dashboard(past()) as pilot:
        await press(pilot, "8")
        row = next(r for r in scene.shown(pilot.app) if "void: turned wheels 14–17" in r)
        assert row.rstrip().endswith("AB: it was wheel 18")
        assert "voided entry 10: turned wheels 14–17" in text(scene, pilot)
        await press(pilot, "down", "down", "down", "enter")
        assert "entry 10      turned wheels 14–17" in text(scene, pilot)
        assert "void          by AB, 14:30 (entry 11): it was wheel 18" in text(scene, pilot)


async def test_entries_are_found_as_one_types(scene: SimpleNamespace, past: Past) -> None:
    async with scene.dashboard(past()) as pilot:
        await press(pilot, "8", "slash", *"wheel 15")
        assert "3 of 13 entries" not in text(scene, pilot)
        assert {listed(pilot).key_at(n) for n in range(listed(pilot).count)} == {"4", "10"}
        await press(pilot, *" turned")
        assert "1 of 13 entries" in text(scene, pilot)
        await press(pilot, "enter")
        assert listed(pilot).has_focus
        assert pilot.app.page.entry_here().id == 10


async def test_letters_in_the_search_line_are_no_commands(
    scene: SimpleNamespace, past: Past
) -> None:
    desk = past()
    before = len(desk.kept)
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "8", "slash", *"taq8v?u")
        assert pilot.app.page.query_one("#search", Input).value == "taq8v?u"
        assert pilot.app.page.where.value == "journal"
        assert "0 of 13 entries" in text(scene, pilot)
        await press(pilot, "escape")
        assert listed(pilot).count == 13
        assert not pilot.app.page.query_one("#search").display
        assert pilot.app.page.where.value == "journal"
        await press(pilot, "escape")
        assert pilot.app.page.where.value == "home"
    assert len(desk.kept) == before


async def test_the_search_is_opened_by_a_click(scene: SimpleNamespace, past: Past) -> None:
    async with scene.dashboard(past()) as pilot:
        await press(pilot, "8")
        await scene.click(pilot, "/ search")
        await press(pilot, *"greasy")
        assert "1 of 13 entries" in text(scene, pilot)
        await scene.click(pilot, "note about wheel 5")
        assert (pilot.app.page.where.value, pilot.app.page.subject) == ("wheel", "5")


async def test_a_note_is_added_for_the_wheel_under_the_cursor_or_for_none(
    scene: SimpleNamespace, past: Past
) -> None:
    desk = past()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "8", "w", *"new lamp", "enter")
        assert desk.kept[-1].act == journal.Noted("new lamp")
        assert "note: new lamp" in text(scene, pilot)
        listed(pilot).go_to("12")
        await press(pilot, "w", *"dry now", "tab", "down", "down", "enter", "ctrl+s")
    assert desk.kept[-1].act == journal.Noted("dry now", (5,))


async def test_an_entry_is_voided_by_a_click_and_the_voiding_can_be_voided(
    scene: SimpleNamespace, past: Past
) -> None:
    desk = past()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "8", "down")
        await scene.click(pilot, "v void")
        await press(pilot, *"no", "enter")
        assert desk.kept[-1].act == journal.Voided(12, "no")
        assert "void: note about wheel 5" in text(scene, pilot)
        listed(pilot).go_to(str(desk.kept[-1].id))
        await press(pilot, "v", *"yes", "enter")
        assert "void: note about wheel 5" not in text(scene, pilot)


async def test_entries_lead_to_what_they_are_about(scene: SimpleNamespace, past: Past) -> None:
    desk = past()
    desk.append(journal.BrineMeasured("brine tub", strength=19.0), scene.NOW, "MK")
    desk.append(journal.Acknowledged(scene.SILENT.key), scene.NOW, "MK")
    async with scene.dashboard(desk) as pilot:
        seen = []
        for key in ("15", "14", "13", "9"):
            await press(pilot, "8")
            listed(pilot).go_to(key)
            await press(pilot, "enter")
            seen.append((pilot.app.page.where.value, pilot.app.page.subject))
            await press(pilot, "1")
    assert seen == [
        ("alarms", scene.SILENT.key),
        ("tub", "brine tub"),
        ("place", "drying rack"),
        ("wheel", "26"),
    ]


async def test_the_cursor_stays_on_its_entry_when_newer_ones_come(
    scene: SimpleNamespace, past: Past
) -> None:
    desk = past()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "8", "down", "down")
        key = listed(pilot).key
        desk.append(journal.Noted("from another screen"), scene.NOW, "AB")
        pilot.app.tick()
        await pilot.pause()
        assert "from another screen" in text(scene, pilot)
        assert listed(pilot).key == key


def a_year(scene: SimpleNamespace) -> Any:
    """The busy dairy with forty entries a day."""
    desk, chance = scene.busy(), random.Random(7)
    acts = (
        journal.Turned((1, 2, 3, 4)),
        journal.Washed((5, 6, 7), journal.Wash.BRUSH),
        journal.Noted("quiet"),
        journal.Noted("the smear is even now", (2,)),
    )
    for number in range(3650):
        at = scene.NOW - 19 * scene.DAY + number * 60.0
        desk.kept.append(Entry(len(desk.kept) + 1, at, at, "MK", chance.choice(acts)))
    return desk


async def test_of_a_year_only_the_lines_that_are_seen_are_made(
    scene: SimpleNamespace, monkeypatch: Any
) -> None:
    from cavewatch.screens.pages import journal as page

    made: list[object] = []
    real = page.journal_line
    monkeypatch.setattr(
        page, "journal_line", lambda told, *rest: made.append(told) or real(told, *rest)
    )
    desk = a_year(scene)
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "8")
        assert listed(pilot).count == len(desk.kept)
        assert len(made) < 100
        await press(pilot, "end")
        assert "new wheels 1–4 in upper cave" in text(scene, pilot)
        await press(pilot, "pageup", "pagedown", "home")
        assert len(made) < 200


async def test_a_year_is_searched_in_goes_and_found_whole(scene: SimpleNamespace) -> None:
    desk = a_year(scene)
    wanted = sum(
        isinstance(entry.act, journal.Noted) and "smear" in entry.act.text for entry in desk.kept
    )
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "8", "slash", *"smear")
        while pilot.app.page._readying is not None:
            await pilot.pause()
        await pilot.pause()
        assert f"{wanted:,} of {len(desk.kept):,} entries" in text(scene, pilot)
        assert listed(pilot).count == wanted
