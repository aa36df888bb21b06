"""How the planner looks, as pictures at three sizes."""

from collections.abc import Awaitable, Callable
from types import SimpleNamespace

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from cavewatch.screens import DashboardApp
from cavewatch.screens.pages.planner import PlannerPage
from cavewatch.screens.scrolled import Scrolled

SIZES = [(120, 40), (80, 24), (40, 20)]
NAMES = [f"{width}x{height}" for width, height in SIZES]


def asked(*keys: str) -> Callable[[Pilot[None]], Awaitable[None]]:
    """Press keys on the planner's page, and wait for the answer to what they asked."""

    async def ask(pilot: Pilot[None]) -> None:
        await pilot.press("5")
        await pilot.pause()
        for field in pilot.app.screen.query(Input):
            field.cursor_blink = False
        await pilot.press(*keys)
        for _ in range(500):
            await pilot.pause(0.02)
            page = pilot.app.screen
            assert isinstance(page, PlannerPage)
            if page.settled and page.query_one("#answer", Scrolled).lines:
                await pilot.pause()
                return
        pytest.fail("there was no answer")

    return ask


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
def test_a_plan(
    scene: SimpleNamespace, snap_compare: Callable[..., bool], size: tuple[int, int]
) -> None:
    app = DashboardApp(scene.busy(), ascii_only=False)
    assert snap_compare(app, run_before=asked("tab", *"5 lb"), terminal_size=size)
