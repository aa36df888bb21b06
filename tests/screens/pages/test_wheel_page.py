"""The page of a wheel, driven by keys and by mouse."""

import asyncio
import threading
from types import SimpleNamespace
from typing import Any

import pytest

from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Assayed, Ended, Ending, Weighed
from cavewatch.core.uptake import When
from cavewatch.screens.form import Form
from cavewatch.screens.pages.wheel import WheelPage
from cavewatch.screens.painted import Lines
from cavewatch.screens.where import Where


def text(scene: SimpleNamespace, pilot: Any) -> str:
    return "\n".join(scene.shown(pilot.app))


async def press(pilot: Any, *keys: str) -> WheelPage:
    await pilot.press(*keys)
    return await settled(pilot)


async def settled(pilot: Any) -> WheelPage:
    """The page once all is worked out."""
    for _ in range(1000):
        await pilot.pause()
        page = pilot.app.page
        if isinstance(page, WheelPage) and page.settled:
            return page
        await asyncio.sleep(0.01)
    pytest.fail("the page is still working")


@pytest.mark.parametrize(("width", "height"), [(120, 40), (80, 24), (40, 20)])
async def test_life_cut_and_what_is_to_do_are_seen_at_once(
    scene: SimpleNamespace, width: int, height: int
) -> None:
    async with scene.dashboard(scene.quiet(), width, height) as pilot:
        page = await press(pilot, "3")
        assert page.subject == "14"
        found = text(scene, pilot)
    for words in ("made", "ready", "[now]", "middle", "rim", "█", "Washed curd, 2.3 kg"):
        assert words in found
    rows = found.splitlines()
    assert len(rows) <= height
    assert all(len(row) <= width for row in rows)


async def test_what_is_not_worked_out_yet_is_said_and_blocks_nothing(
    scene: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk, free = scene.quiet(), threading.Event()
    uptake = desk.uptake
    monkeypatch.setattr(desk, "uptake", lambda n: lambda: free.wait(20) and uptake(n)())
    async with scene.dashboard(desk) as pilot:
        await pilot.press("3")
        await pilot.pause()
        assert "working out how its salt lies" in text(scene, pilot)
        assert "turn in 4 h 00" in text(scene, pilot)
        await pilot.press("right")
        await pilot.pause()
        assert pilot.app.page.subject == "15"
        free.set()
        await settled(pilot)
        await settled(pilot)
        assert "[now]" in text(scene, pilot)
        assert pilot.app.page._worked.uptake.wheel == 15


async def test_what_cannot_be_worked_out_says_why(
    scene: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse() -> None:
        raise CavewatchError("the brine is\x1b[2J gone")

    desk = scene.quiet()
    monkeypatch.setattr(desk, "uptake", lambda _: refuse)
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "3")
        assert "It cannot be worked out: the brine is[2J gone" in text(scene, pilot).replace(
            "is [2J", "is[2J"
        )


async def test_a_wheel_that_came_salted_says_that_nothing_is_known(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.quiet()) as pilot:
        await press(pilot, "3")
        page = await press(pilot, "right", "right", "right", "right")
        assert page.subject == "1"
        assert "how its salt lies is not known" in " ".join(text(scene, pilot).split())
        await press(pilot, "p", "comma")
        assert page.looking.chosen is When.NOW


async def test_the_cut_moves_through_time_by_key_and_by_mouse(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.quiet()) as pilot:
        page = await press(pilot, "3", "p")
        assert page.looking.chosen is When.LIFT
        assert "[at the lift]" in text(scene, pilot)
        await press(pilot, "p", "p")
        assert page.looking.chosen is When.EVEN
        assert "▒▒▒▒▒▒▒" in text(scene, pilot)
        assert "█" not in text(scene, pilot).split("middle")[0]
        await press(pilot, "P")
        assert page.looking.chosen is When.WEEK
        await scene.click(pilot, "now")
        await settled(pilot)
        assert page.looking.chosen is When.NOW
        await press(pilot, "full_stop")
        assert isinstance(page.looking.chosen, float)
        assert page.looking.chosen > scene.NOW
        assert "[then]" in text(scene, pilot)
        for _ in range(30):
            await press(pilot, "comma")
        assert page.looking.chosen == page._worked.uptake.times[0]


async def test_a_click_on_the_curve_cuts_the_wheel_at_that_time(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.quiet()) as pilot:
        page = await press(pilot, "3")
        above = page.query_one("#wheel-picture", Lines)
        row = next(n for n, line in enumerate(above.lines) if "╵" in "".join(p.text for p in line))
        words = "".join(part.text for part in above.lines[row])
        await pilot.click(above, offset=(2 + words.index("╵Wed 4"), row - 3))
        await settled(pilot)
        midnight = scene.NOW + 8.5 * scene.HOUR
        assert abs(page.looking.chosen - midnight) < scene.HOUR


async def test_pictures_are_shown_one_by_one(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.quiet()) as pilot:
        await press(pilot, "3")
        seen = []
        for _ in range(4):
            await press(pilot, "y")
            found = text(scene, pilot)
            seen.append(("middle" in found, " aim " in found, "planned" in found))
        assert seen == [
            (True, False, False),
            (False, True, False),
            (False, False, True),
            (True, True, False),
        ]


async def test_makes_are_stepped_through(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.quiet()) as pilot:
        page = await press(pilot, "3", "right")
        assert page.subject == "15"
        await press(pilot, "i")
        assert page.subject == "1"
        await press(pilot, "i")
        assert page.subject == "5"
        await press(pilot, "I", "I")
        assert page.subject == "14"


async def test_an_assay_is_entered_and_shown(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "3")
        await pilot.press("A")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Form)
        await pilot.press(*"1.62 %")
        await pilot.pause()
        assert "= 1.62 % of the cheese" in text(scene, pilot)
        await pilot.press("ctrl+s")
        page = await settled(pilot)
        assert desk.kept[-1].act == Assayed((14,), 1.62, 0.1)
        await press(pilot, "y", "y", "y", "end")
        assert "15:30: 1.62 ± 0.10 % salt" in text(scene, pilot)
        await press(pilot, "u")
        await press(pilot, "end")
        assert "× void 15:30: wheel 14 assayed" in text(scene, pilot)
        assert page.subject == "14"


async def test_a_weight_is_entered_with_the_loss_echoed(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "3")
        await pilot.press("W")
        await pilot.pause()
        await pilot.press(*"2.25 kg")
        await pilot.pause()
        assert "= 2.25 kg, 2.2 % less" in text(scene, pilot)
        await pilot.press("ctrl+s")
        await settled(pilot)
        assert desk.kept[-1].act == Weighed((14,), 2250.0)


async def test_an_ended_wheel_can_still_be_looked_at(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.append(Ended((14,), Ending.CUT), scene.NOW, "MK")
    async with scene.dashboard(desk) as pilot:
        pilot.app.open(Where.WHEEL, "14")
        await settled(pilot)
        assert "ended" in text(scene, pilot)
        assert "Washed curd" in text(scene, pilot)


async def test_a_wheel_that_never_was_is_said_to_be_over(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.quiet()) as pilot:
        pilot.app.open(Where.WHEEL, "99")
        await settled(pilot)
        assert "This is over" in text(scene, pilot)


async def test_the_pictures_follow_a_resize(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.quiet(), 120, 40) as pilot:
        await press(pilot, "3")
        await pilot.resize_terminal(50, 20)
        await settled(pilot)
        assert all(len(row) <= 50 for row in text(scene, pilot).splitlines())
        assert "middle" in text(scene, pilot)
