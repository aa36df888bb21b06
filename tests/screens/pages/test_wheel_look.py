"""How the page of a wheel looks, as pictures at three sizes."""

import asyncio
from collections.abc import Awaitable, Callable
from types import SimpleNamespace
from typing import Any

import pytest
from textual.pilot import Pilot

from cavewatch.core.journal import Lifted, Salted, Turned
from cavewatch.screens import DashboardApp
from cavewatch.screens.pages.wheel import WheelPage

SIZES = [(120, 40), (80, 24), (40, 20)]
NAMES = [f"{width}x{height}" for width, height in SIZES]
NUMBERS = (14, 15, 16, 17)


def pressed(*keys: str) -> Callable[[Pilot[None]], Awaitable[None]]:
    async def press(pilot: Pilot[None]) -> None:
        for key in keys:
            await pilot.press(key)
            await settled(pilot)

    return press


async def settled(pilot: Any) -> None:
    for _ in range(1000):
        await pilot.pause()
        if isinstance(pilot.app.page, WheelPage) and pilot.app.page.settled:
            return
        await asyncio.sleep(0.01)
    pytest.fail("the page is still working")


def lifted(scene: SimpleNamespace) -> Any:
    desk = scene.quiet()
    desk.append(Turned(NUMBERS), scene.NOW - 4 * scene.HOUR, "MK")
    desk.append(Salted(NUMBERS, 9.0), scene.NOW - 3.9 * scene.HOUR, "MK")
    desk.append(Lifted(NUMBERS, "upper cave"), scene.NOW - scene.HOUR, "MK")
    desk.solve()
    return desk


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
def test_a_wheel_in_brine(
    scene: SimpleNamespace, snap_compare: Callable[..., bool], size: tuple[int, int]
) -> None:
    app = DashboardApp(scene.busy(), ascii_only=False)
    assert snap_compare(app, run_before=pressed("3"), terminal_size=size)


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
def test_a_lifted_wheel_a_week_later(
    scene: SimpleNamespace, snap_compare: Callable[..., bool], size: tuple[int, int]
) -> None:
    app = DashboardApp(lifted(scene), ascii_only=False)
    keys = pressed("3", *["right"] * 4, "p")
    assert snap_compare(app, run_before=keys, terminal_size=size)


def test_the_uptake_alone_on_a_narrow_screen(
    scene: SimpleNamespace, snap_compare: Callable[..., bool]
) -> None:
    app = DashboardApp(scene.busy(), ascii_only=False)
    assert snap_compare(app, run_before=pressed("3", "y", "y"), terminal_size=(40, 20))


def test_in_plain_characters(scene: SimpleNamespace, snap_compare: Callable[..., bool]) -> None:
    app = DashboardApp(scene.busy(), ascii_only=True)
    assert snap_compare(app, run_before=pressed("3"), terminal_size=(80, 24))
