"""A wheel's whole life entered by keys alone, with nothing but what stands on the screen."""

from types import SimpleNamespace
from typing import Any

from cavewatch.core import journal
from cavewatch.core.journal import Entry
from cavewatch.core.style import Method
from cavewatch.core.wheel import Standing

HOUR, DAY = 3600.0, 86400.0


async def press(pilot: Any, *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


async def later(pilot: Any, desk: Any, seconds: float) -> None:
    """Time passes; the recorder works the countdowns out anew."""
    desk.at += seconds
    desk.solve()
    pilot.app.tick()
    await pilot.pause()


def text(scene: SimpleNamespace, pilot: Any) -> str:
    return "\n".join(scene.shown(pilot.app))


async def test_a_full_round_by_keys_alone(scene: SimpleNamespace) -> None:
    desk = scene.FakeDesk()
    start = desk.at
    async with scene.dashboard(desk) as pilot:
        # A make of two wheels goes into the brine; the form starts at the weight.
        await press(pilot, "n", *"2.3 kg", "shift+tab", "ctrl+a", "delete", "2", "ctrl+s")
        assert "Written: new wheels 1, 2 in brine tub" in text(scene, pilot)
        await later(pilot, desk, HOUR)

        # Its strength is measured.
        await press(pilot, "b", *"20 %", "enter")
        assert "Written: brine of brine tub measured: 20.0 %" in text(scene, pilot)

        # They are turned late, which the page of what is due says; with salt on the face.
        await later(pilot, desk, 12 * HOUR)
        assert "now, 1 h 00 min late" in text(scene, pilot)
        await press(pilot, "7")
        assert "late 1 h 00" in text(scene, pilot)
        await press(pilot, "p", "p", "y")
        assert "Written: turned wheels 1, 2; put 9.0 g of salt each" in text(scene, pilot)

        # They are lifted on their time, and wiped.
        await later(pilot, desk, start + 60 * HOUR - desk.at)
        await press(pilot, "4", "l", "ctrl+s")
        assert "Written: lifted wheels 1, 2" in text(scene, pilot)
        await later(pilot, desk, HOUR)

        # Over to the cave: the place is the third field from the end of the form.
        await press(pilot, "m", "shift+tab", "shift+tab", "shift+tab", "enter")
        await press(pilot, "down", "down", "down", "enter", "ctrl+s")
        assert "Written: moved wheels 1, 2 to lower cave" in text(scene, pilot)
        await later(pilot, desk, 7 * DAY)

        # The rind is washed.
        await press(pilot, "3", "r", "ctrl+s")
        assert "Written: washed wheel 1" in text(scene, pilot)
        await later(pilot, desk, 50 * DAY)

        # What came of it: an assay.
        await press(pilot, "A", *"1.7 %", "enter")
        assert "assayed: 1.70 ± 0.10 % salt" in text(scene, pilot)

        # All of it stands in the journal, and is found.
        await press(pilot, "8", "slash", *"wheel 1", "enter")
        assert "7 of 8 entries" in text(scene, pilot)
    kinds = [type(entry.act) for entry in desk.kept]
    assert kinds == [
        journal.Made,
        journal.BrineMeasured,
        journal.Turned,
        journal.Salted,
        journal.Lifted,
        journal.Moved,
        journal.Washed,
        journal.Assayed,
    ]
    check(desk.kept, "lower cave", desk)


def check(entries: list[Entry], place: str, desk: Any) -> None:
    """What the picture makes of it."""
    made: Any = entries[0].act
    assert (made.wheels, made.method, made.weight) == ((1, 2), Method.BRINE, 2300.0)
    assert entries[2].at - entries[0].at == 13 * HOUR
    assert all(entry.by == "MK" for entry in entries)
    wheel = desk.picture().wheels[1]
    assert (wheel.standing, wheel.place) == (Standing.AGING, place)
