"""How the page of a place looks, as pictures at three sizes."""

from collections.abc import Awaitable, Callable
from types import SimpleNamespace

import pytest
from textual.pilot import Pilot

from cavewatch.screens import DashboardApp

SIZES = [(120, 40), (80, 24), (40, 20)]
NAMES = [f"{width}x{height}" for width, height in SIZES]


def pressed(*keys: str) -> Callable[[Pilot[None]], Awaitable[None]]:
    async def press(pilot: Pilot[None]) -> None:
        await pilot.press(*keys)
        await pilot.pause()

    return press


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
def test_a_day_out_of_range(
    scene: SimpleNamespace, snap_compare: Callable[..., bool], size: tuple[int, int]
) -> None:
    app = DashboardApp(scene.busy(), ascii_only=False)
    keys = pressed("2", "right", "right", "right")
    assert snap_compare(app, run_before=keys, terminal_size=size)


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
def test_a_month_with_the_cursor(
    scene: SimpleNamespace, snap_compare: Callable[..., bool], size: tuple[int, int]
) -> None:
    app = DashboardApp(scene.busy(), ascii_only=False)
    keys = pressed("2", "right", "right", "p", "p", "less_than_sign")
    assert snap_compare(app, run_before=keys, terminal_size=size)


def test_without_braille(scene: SimpleNamespace, snap_compare: Callable[..., bool]) -> None:
    app = DashboardApp(scene.busy(), ascii_only=True)
    keys = pressed("2", "right", "right", "p")
    assert snap_compare(app, run_before=keys, terminal_size=(80, 24))
