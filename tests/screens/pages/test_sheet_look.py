"""How the page of a make sheet and the form that closes an alarm look, at three sizes."""

import asyncio
from collections.abc import Awaitable, Callable
from types import SimpleNamespace
from typing import Any

import pytest
from textual.pilot import Pilot

from cavewatch.core.journal import Acidity, Milk, Sample, Treatment
from cavewatch.screens import DashboardApp
from cavewatch.screens.pages.sheet import SheetPage
from cavewatch.screens.pages.wheel import WheelPage

SIZES = [(120, 40), (80, 24), (40, 20)]
NAMES = [f"{width}x{height}" for width, height in SIZES]


def pressed(*keys: str) -> Callable[[Pilot[None]], Awaitable[None]]:
    async def press(pilot: Pilot[None]) -> None:
        for key in keys:
            await pilot.press(key)
            await settled(pilot)

    return press


async def settled(pilot: Any) -> None:
    for _ in range(1000):
        await pilot.pause()
        page = pilot.app.page
        if not isinstance(page, WheelPage | SheetPage) or page.settled:
            return
        await asyncio.sleep(0.01)
    pytest.fail("the page is still working")


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
def test_a_make_of_raw_milk(
    scene: SimpleNamespace, snap_compare: Callable[..., bool], size: tuple[int, int]
) -> None:
    desk = scene.busy()
    milk = Milk(Treatment.RAW, (14, 15, 16, 17), source="north farm", litres=100.0)
    desk.append(milk, scene.NOW - 20 * scene.HOUR, "MK")
    ph = Acidity(6.45, Sample.CURD, (14, 15, 16, 17))
    desk.append(ph, scene.NOW - 16 * scene.HOUR, "MK")
    app = DashboardApp(desk, ascii_only=False)
    assert snap_compare(app, run_before=pressed("3", "S"), terminal_size=size)


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
def test_the_form_that_closes_an_alarm(
    past: Callable[[], Any], snap_compare: Callable[..., bool], size: tuple[int, int]
) -> None:
    app = DashboardApp(past(), ascii_only=False)
    app.CSS += "Input { &>.input--cursor { text-style: none; } }"
    keys = ("6", "C", *"moved to the upper cave")
    assert snap_compare(app, run_before=pressed(*keys), terminal_size=size)
