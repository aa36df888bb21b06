"""How the page of a tub looks, as pictures at three sizes."""

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
def test_a_month_of_a_tub(
    scene: SimpleNamespace, snap_compare: Callable[..., bool], size: tuple[int, int]
) -> None:
    app = DashboardApp(scene.salted_tub(), ascii_only=False)
    assert snap_compare(app, run_before=pressed("4"), terminal_size=size)


def test_a_tub_without_braille(scene: SimpleNamespace, snap_compare: Callable[..., bool]) -> None:
    app = DashboardApp(scene.salted_tub(), ascii_only=True)
    assert snap_compare(app, run_before=pressed("4", "less_than_sign"), terminal_size=(80, 24))


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
def test_the_form_for_work(
    scene: SimpleNamespace, snap_compare: Callable[..., bool], size: tuple[int, int]
) -> None:
    app = DashboardApp(scene.salted_tub(), ascii_only=False)
    assert snap_compare(app, run_before=pressed("4", "B"), terminal_size=size)
