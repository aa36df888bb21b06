"""What was just entered can be taken back for a while."""

from types import SimpleNamespace
from typing import Any

import pytest

from cavewatch.core import journal
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Noted, Turned, Voided
from cavewatch.screens.sheets import Sheet, signed
from cavewatch.screens.viewer import Viewer


async def press(pilot: Any, *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


def bottom(scene: SimpleNamespace, pilot: Any) -> str:
    return str(scene.shown(pilot.app)[-1]).rstrip()


async def test_an_entry_is_taken_back_with_one_key_and_stays_in_the_journal(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "t", "enter")
        turned = desk.kept[-1]
        assert "Written: turned wheels 14–17" in bottom(scene, pilot)
        assert bottom(scene, pilot).endswith("u takes it back")
        await press(pilot, "u")
        assert "Taken back: turned wheels 14–17" in bottom(scene, pilot)
        assert "u takes it back" not in bottom(scene, pilot)
    assert desk.kept[-2] is turned
    assert desk.kept[-1].act == Voided(turned.id, "taken back")


async def test_after_a_while_it_is_offered_no_more_and_another_way_is_told(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "t", "enter")
        before = len(desk.kept)
        pilot.app.forget()
        await pilot.pause()
        assert "a acknowledge" in bottom(scene, pilot)
        assert "u takes it back" not in bottom(scene, pilot)
        await press(pilot, "u")
        assert "void older entries on page 8" in bottom(scene, pilot)
    assert len(desk.kept) == before


async def test_the_offer_is_seen_on_every_page_and_can_be_clicked(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "t", "enter", "7")
        await scene.click(pilot, "takes it back")
    assert isinstance(desk.kept[-1].act, Voided)


async def test_an_acknowledgement_cannot_be_taken_back_and_is_not_offered(
    scene: SimpleNamespace,
) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        await press(pilot, "a")
        assert "Acknowledged" in bottom(scene, pilot)
        assert "u takes it back" not in bottom(scene, pilot)


async def test_shelving_is_taken_back(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await press(pilot, "z", "ctrl+s")
        shelved = desk.kept[-1]
        assert isinstance(shelved.act, journal.Shelved)
        await press(pilot, "u")
    assert desk.kept[-1].act == Voided(shelved.id, "taken back")


async def test_acts_that_were_entered_together_are_taken_back_together(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    both = (Turned((14,)), Noted("soft", (14,)))
    async with scene.dashboard(desk) as pilot:
        page = pilot.app.page
        page.fill_in(Sheet("Both", signed(desk, page.dairy), lambda _: both))
        await pilot.pause()
        await press(pilot, "ctrl+s")
        assert "Written: turned wheel 14; note about wheel 14: soft" in bottom(scene, pilot)
        first, second = desk.kept[-2:]
        assert (first.act, second.act) == both
        await press(pilot, "u")
    assert [entry.act for entry in desk.kept[-2:]] == [
        Voided(second.id, "taken back"),
        Voided(first.id, "taken back"),
    ]


def test_when_only_some_of_several_are_kept_that_is_said_and_they_can_be_taken_back(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    viewer = Viewer(desk)
    append = desk.append

    def full(act: journal.Act, at: float, by: str, *, typed: bool = False) -> journal.Entry:
        desk.refusal = "the card is full" if isinstance(act, Noted) else ""
        return append(act, at, by, typed=typed)  # type: ignore[no-any-return]

    desk.append = full
    with pytest.raises(CavewatchError, match="1 of 2 entries were written: the card is full"):
        viewer.enter((Turned((14,)), Noted("soft")), scene.NOW, "MK")
    assert [entry.act for entry in viewer.offer] == [Turned((14,))]
    viewer.take_back()
    assert desk.kept[-1].act == Voided(desk.kept[-2].id, "taken back")
