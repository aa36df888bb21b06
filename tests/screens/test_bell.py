"""The terminal's bell: once when an alarm calls anew, and never otherwise."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from cavewatch.core.alarms.table import State
from cavewatch.screens import DashboardApp
from cavewatch.screens.pages.home import HomePage


@pytest.fixture
def bells(monkeypatch: pytest.MonkeyPatch) -> list[DashboardApp]:
    """One more for each time that the bell rings."""
    heard: list[DashboardApp] = []
    monkeypatch.setattr(DashboardApp, "bell", lambda app: heard.append(app))  # noqa: PLW0108 - a method
    return heard


async def rung(
    scene: SimpleNamespace, bells: list[DashboardApp], *states: State, bell: bool = True
) -> list[int]:
    """How often the bell had rung after each look, with the alarm in these states by turns."""
    desk = scene.quiet()
    app = DashboardApp(desk, ascii_only=False, bell=bell)
    found = []
    async with app.run_test():
        assert isinstance(app.screen, HomePage)
        app.tick()
        for state in states:
            desk.alarms = [] if state is State.NORM else [replace(scene.TOO_DRY, state=state)]
            desk._new = True
            app.tick()
            found.append(len(bells))
    return found


async def test_an_alarm_rings_once_however_long_it_calls(
    scene: SimpleNamespace, bells: list[DashboardApp]
) -> None:
    assert await rung(scene, bells, State.UNACK, State.UNACK, State.LATCHED_UNACK) == [1, 1, 1]


@pytest.mark.parametrize(
    "between", [State.NORM, State.ACKED, State.RTNUN, State.SHLVD, State.DSUPR, State.OOSRV]
)
async def test_an_alarm_that_calls_anew_rings_anew_and_nothing_else_does(
    scene: SimpleNamespace, bells: list[DashboardApp], between: State
) -> None:
    assert await rung(scene, bells, between, State.UNACK, between, State.UNACK) == [0, 1, 1, 2]


async def test_what_calls_when_the_dashboard_opens_is_seen_and_does_not_ring(
    scene: SimpleNamespace, bells: list[DashboardApp]
) -> None:
    app = DashboardApp(scene.busy(), ascii_only=False, bell=True)
    async with app.run_test():
        app.tick()
        assert any(alarm.state is State.UNACK for alarm in app.viewer.dairy.alarms)
        assert not bells


async def test_a_bell_that_is_switched_off_never_rings(
    scene: SimpleNamespace, bells: list[DashboardApp]
) -> None:
    assert await rung(scene, bells, State.UNACK, bell=False) == [0]
