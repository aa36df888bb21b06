"""How the dashboard looks, as pictures at three sizes.

After a change that is meant, look at each difference and then run with --snapshot-update.
"""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from cavewatch.screens import DashboardApp

SIZES = [(120, 40), (80, 24), (40, 20)]
NAMES = [f"{width}x{height}" for width, height in SIZES]


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
def test_a_busy_day(
    scene: SimpleNamespace, snap_compare: Callable[..., bool], size: tuple[int, int]
) -> None:
    assert snap_compare(DashboardApp(scene.busy(), ascii_only=False), terminal_size=size)


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
def test_a_quiet_day(
    scene: SimpleNamespace, snap_compare: Callable[..., bool], size: tuple[int, int]
) -> None:
    assert snap_compare(DashboardApp(scene.quiet(), ascii_only=False), terminal_size=size)


@pytest.mark.parametrize("size", SIZES, ids=NAMES)
def test_a_form(
    scene: SimpleNamespace, snap_compare: Callable[..., bool], size: tuple[int, int]
) -> None:
    app = DashboardApp(scene.busy(), ascii_only=False)
    assert snap_compare(app, run_before=_fill_in, terminal_size=size)


async def _fill_in(pilot: Pilot[None]) -> None:
    """Type something impossible; the cursor does not blink."""
    await pilot.press("n", *"5 parsnips")
    for field in pilot.app.screen.query(Input):
        field.cursor_blink = False
    await pilot.pause()
