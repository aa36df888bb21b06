"""Alarms set aside, taken out, reset, from the dashboard."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from cavewatch.core.alarms.table import SUPPRESSED, State
from cavewatch.core.journal import (
    BackInService,
    OutOfService,
    Reset,
    Shelved,
    Suppressed,
    Unshelved,
)
from cavewatch.screens.alarms import STATES, alarm_lines
from cavewatch.screens.lines import Role, text_of

HOUR = 3600.0


async def test_shelving_asks_for_how_long_and_writes_the_end(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    before = len(desk.kept)
    async with scene.dashboard(desk) as pilot:
        await pilot.press("z", "ctrl+s")
        await pilot.pause()
    (entry,) = desk.kept[before:]
    assert entry.act == Shelved(scene.TOO_DRY.key, scene.NOW + 2 * HOUR)


async def test_a_shelved_alarm_is_taken_back_at_once(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.alarms = [replace(scene.TOO_DRY, state=State.SHLVD, until=scene.NOW + 60)]
    async with scene.dashboard(desk) as pilot:
        await pilot.press("z")
        await pilot.pause()
    assert desk.kept[-1].act == Unshelved(scene.TOO_DRY.key)


async def test_out_of_service_wants_a_reason_and_is_put_back_at_once(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    before = len(desk.kept)
    async with scene.dashboard(desk) as pilot:
        await pilot.press("o", "ctrl+s")
        await pilot.pause()
        assert len(desk.kept) == before
        await pilot.press(*"away", "ctrl+s")
        await pilot.pause()
        assert desk.kept[-1].act == OutOfService(scene.TOO_DRY.key, "away")
        desk.alarms = [replace(scene.TOO_DRY, state=State.OOSRV)]
        pilot.app.screen.redraw()
        await pilot.press("o")
        await pilot.pause()
    assert desk.kept[-1].act == BackInService(scene.TOO_DRY.key)


async def test_a_latched_alarm_is_reset_and_no_other(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    before = len(desk.kept)
    async with scene.dashboard(desk) as pilot:
        await pilot.press("g")
        await pilot.pause()
        assert len(desk.kept) == before
        desk.alarms = [replace(scene.TOO_DRY, state=State.LATCHED_ACKED)]
        pilot.app.screen.redraw()
        await pilot.press("g")
        await pilot.pause()
    assert desk.kept[-1].act == Reset(scene.TOO_DRY.key)


async def test_a_place_is_suppressed_while_it_is_cleaned(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await pilot.press("c", "ctrl+s")
        await pilot.pause()
    act = desk.kept[-1].act
    assert isinstance(act, Suppressed)
    assert (act.until, act.why) == (scene.NOW + HOUR / 2, "cleaning")


@pytest.mark.parametrize("state", SUPPRESSED)
def test_a_suppressed_alarm_is_faint_and_says_until_when(
    scene: SimpleNamespace, state: State
) -> None:
    until = None if state is State.OOSRV else scene.NOW + HOUR
    alarm = replace(scene.TOO_DRY, state=state, until=until)
    (line,) = alarm_lines(alarm, scene.NOW, scene.busy().zone, 117, 1)
    assert STATES[state] in text_of(line)
    assert ("until 16:30" in text_of(line)) is (until is not None)
    assert {part.role for part in line} <= {Role.FAINT, Role.PLAIN}
