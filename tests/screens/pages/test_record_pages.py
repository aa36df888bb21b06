"""The record on the pages: milk, pH, days of raw milk, label, loss and the make sheet."""

import asyncio
from types import SimpleNamespace
from typing import Any

import pytest

from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import (
    Acidity,
    Lifted,
    Made,
    Milk,
    Sample,
    Treatment,
    Voided,
    Weighed,
)
from cavewatch.screens.form import Form
from cavewatch.screens.lines import text_of, width_of
from cavewatch.screens.pages.sheet import SheetPage, laid_out
from cavewatch.screens.pages.wheel import WheelPage

NUMBERS = (14, 15, 16, 17)


def text(scene: SimpleNamespace, pilot: Any) -> str:
    return "\n".join(scene.shown(pilot.app))


async def press(pilot: Any, *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await settled(pilot)


async def settled(pilot: Any) -> None:
    for _ in range(1000):
        await pilot.pause()
        page = pilot.app.page
        if not isinstance(page, WheelPage | SheetPage) or page.settled:
            return
        await asyncio.sleep(0.01)
    pytest.fail("the page is still working")


async def read_through(pilot: Any) -> str:
    """All of the text that is scrolled on the page."""
    lines = pilot.app.page.query_one("#text").lines
    return " ".join(" ".join(text_of(line) for line in lines).split())


async def test_the_milk_of_a_make_is_entered_on_the_page_of_its_wheel(
    scene: SimpleNamespace,
) -> None:
    desk = scene.quiet()
    async with scene.dashboard(desk, 100, 40) as pilot:
        await press(pilot, "3")
        assert "milk not on record; M enters it" in await read_through(pilot)
        await press(pilot, "M")
        assert isinstance(pilot.app.screen, Form)
        assert "choose what was done to the milk" in text(scene, pilot)
        # The list of treatments, by keys alone: raw is the first after 'choose'.
        await press(pilot, "enter", "down", "enter")
        await press(pilot, "tab", "tab", "tab", *"100 L", "tab", *"north farm", "ctrl+s")
        assert desk.kept[-1].act == Milk(Treatment.RAW, NUMBERS, source="north farm", litres=100.0)
        read = await read_through(pilot)
    assert "milk 15:30: raw milk, 100 L, north farm" in read
    assert "60 days to go: day 0 of 60" in read
    assert "Local rules and the licensing authority decide" in read
    assert "label Washed curd" in read
    assert "Made with raw milk" in read
    assert "Check local labelling rules" in read
    assert "safe" not in read


async def test_milk_and_ph_of_a_lot_are_entered_before_there_are_wheels(
    scene: SimpleNamespace,
) -> None:
    desk = scene.FakeDesk()
    async with scene.dashboard(desk, 100, 40) as pilot:
        await press(pilot, "8", "M", "enter", "down", "down", "down", "enter")
        await press(pilot, "tab", "tab", *"Tuesday", "ctrl+s")
        assert desk.kept[-1].act == Milk(Treatment.PASTEURISED, lot="Tuesday")
        await press(pilot, "escape", "H", *"6.6", "ctrl+s")
        assert desk.kept[-1].act == Acidity(6.6, Sample.CURD, lot="Tuesday")
        # The lot is offered to its wheels.
        await press(pilot, "n")
        assert pilot.app.screen._rows.check().values["lot"] == "Tuesday"


async def test_raw_milk_is_not_heated(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    async with scene.dashboard(desk, 100, 40) as pilot:
        await press(pilot, "M", "enter", "down", "enter", *["tab"] * 5, *"63 C", "ctrl+s")
        assert "raw milk is not heated" in text(scene, pilot)
    assert not any(isinstance(entry.act, Milk) for entry in desk.kept)


async def test_what_has_its_milk_on_record_is_not_offered_again_for_a_new_make(
    scene: SimpleNamespace,
) -> None:
    desk = scene.quiet()
    desk.append(Milk(Treatment.RAW, NUMBERS), scene.NOW - 9 * scene.HOUR, "MK")
    async with scene.dashboard(desk, 100, 40) as pilot:
        await press(pilot, "3", "M")
        assert pilot.app.screen._rows.check().values["which"] == "lot"


async def test_days_of_raw_milk_and_ph_stand_among_the_facts(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    made = Made(
        (30,), "washed-curd", next(iter(desk.styles["washed-curd"].methods)), 2300.0,
        "lower cave", salting_done=True, lot="Feb",
    )  # fmt: skip
    desk.append(
        Milk(Treatment.RAW, lot="feb", cultures="mesophilic"), scene.NOW - 24 * scene.DAY, "MK"
    )
    desk.append(Acidity(6.55, Sample.MILK, lot="Feb"), scene.NOW - 23.9 * scene.DAY, "MK")
    desk.append(made, scene.NOW - 23 * scene.DAY, "MK")
    async with scene.dashboard(desk, 100, 40) as pilot:
        pilot.app.open("wheel", "30")
        await settled(pilot)
        read = await read_through(pilot)
        assert "37 days to go: day 23 of 60, earliest 9 Apr" in read
        assert "cultures: mesophilic" in read
        assert "pH 6.55 milk 7 Feb" in read
        counted = len(desk.counted)
        pilot.app.tick()
        await settled(pilot)
        assert len(desk.counted) == counted


async def test_the_loss_is_held_against_what_is_usual(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.append(Lifted(NUMBERS, "lower cave"), scene.NOW - 6 * scene.HOUR, "MK")
    desk.append(Weighed((14,), 2250.0), scene.NOW - 5 * scene.HOUR, "MK")
    desk.at = scene.NOW + 30 * scene.DAY
    desk.append(Weighed((14,), 1900.0), desk.at, "MK")
    async with scene.dashboard(desk, 100, 40) as pilot:
        pilot.app.open("wheel", "14")
        await settled(pilot)
        read = await read_through(pilot)
    assert "loss lost 15.6 % since 3 Mar 10:30, 15." in read
    assert ": more than usual" in read


async def test_the_make_sheet_opens_from_the_wheel_by_key_and_by_mouse(
    scene: SimpleNamespace,
) -> None:
    desk = scene.quiet()
    wrong = desk.append(Weighed((15,), 1254.0), scene.NOW - 3600, "MK")
    desk.append(Voided(wrong.id, "misread the scale"), scene.NOW, "TO")
    async with scene.dashboard(desk, 120, 24) as pilot:
        await press(pilot, "3", "right")
        await scene.click(pilot, "S make sheet")
        await settled(pilot)
        assert isinstance(pilot.app.page, SheetPage)
        assert "MAKE SHEET: Washed curd, wheels 14–17" in text(scene, pilot)
        read = await read_through(pilot)
        assert "STRUCK" in read
        assert "misread the scale" in read
        await press(pilot, "pagedown", "end")
        assert "MAKE SHEET" not in text(scene, pilot)
        await press(pilot, "right")
        assert "MAKE SHEET: Alpine type, wheels 1, 2" in await read_through(pilot)
        await press(pilot, "left", "H", *"5.3", "ctrl+s")
        assert desk.kept[-1].act == Acidity(5.3, Sample.CURD, NUMBERS)
        assert "5.30 curd (MK)" in await read_through(pilot)
        await press(pilot, "escape")
        assert isinstance(pilot.app.page, WheelPage)
        await press(pilot, "S")
        assert isinstance(pilot.app.page, SheetPage)


async def test_a_sheet_that_cannot_be_drawn_up_says_why(
    scene: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse() -> None:
        raise CavewatchError("the store is\x1b[2J gone")

    desk = scene.quiet()
    monkeypatch.setattr(desk, "make_sheet", lambda _: refuse)
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "3", "S")
        assert "the store is[2J gone" in text(scene, pilot)


@pytest.mark.parametrize("width", [20, 37, 77])
def test_a_line_of_a_sheet_hangs_and_is_never_too_wide(width: int) -> None:
    lines = laid_out("    2026-03-03 12:00 note: " + "漢字 words " * 40 + "\x1b[31m", width)
    assert all(width_of(line) <= width for line in lines)
    assert text_of(lines[0]).startswith("    2")
    assert all(text_of(line).startswith("      ") for line in lines[1:])
    assert "\x1b" not in "".join(map(text_of, lines))
