"""How the pages of alarms, of what is due and of the journal look, as pictures at three sizes."""

from collections.abc import Awaitable, Callable
from typing import Any

import pytest
from textual.pilot import Pilot

from cavewatch.screens import DashboardApp

SIZES = [(120, 40), (80, 24), (40, 20)]
NAMES = [f"{width}x{height}" for width, height in SIZES]
KEYS = {
    "alarms now": ("6",),
    "alarms past": ("6", "right", "down"),
    "alarm figures": ("6", "left"),
    "due": ("7", "p", "p"),
    "journal": ("8", "down", "down", "down", "down"),
    "journal searched": ("8", "slash", *"wheel 15"),
}


def pressed(*keys: str) -> Callable[[Pilot[None]], Awaitable[None]]:
    async def press(pilot: Pilot[None]) -> None:
        for key in keys:
            await pilot.press(key)
            await pilot.pause()

    return press


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
@pytest.mark.parametrize("view", KEYS)
def test_a_busy_day(
    past: Callable[[], Any],
    snap_compare: Callable[..., bool],
    view: str,
    size: tuple[int, int],
) -> None:
    app = DashboardApp(past(), ascii_only=False)
    if "searched" in view:
        app.CSS += "Input { &>.input--cursor { text-style: none; } }"
    assert snap_compare(app, run_before=pressed(*KEYS[view]), terminal_size=size)
