"""How fast a year of entries opens, scrolls and is searched. Asserts no time."""

import random
import time
from contextlib import closing
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from cavewatch.cli.desk import StoreDesk
from cavewatch.core import journal
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.style import Method
from cavewatch.screens import DashboardApp
from cavewatch.screens.long_list import LongList
from cavewatch.screens.pages.journal import JournalPage
from cavewatch.store import Store
from cavewatch.styles import load
from cavewatch.units import Display

DAY = 86400.0
END = 20_000 * DAY
A_DAY = 40
"""Entries."""


def fill(path: Path) -> None:
    """A year of a dairy that enters everything."""
    chance = random.Random(7)
    with closing(Store.open(path)) as store:
        style = next(iter(load().values())).id
        made = journal.Made(tuple(range(1, 21)), style, Method.DRY, 2300.0, "cave", None, True)
        store.append(END - 365 * DAY, END - 365 * DAY, "MK", made)
        for number in range(365 * A_DAY):
            at = END - 365 * DAY + (number + 1) * DAY / A_DAY
            wheels = tuple(sorted(chance.sample(range(1, 21), 4)))
            act = chance.choice(
                (
                    journal.Turned(wheels),
                    journal.Washed(wheels, journal.Wash.BRUSH),
                    journal.Noted("the smear is even now", wheels),
                )
            )
            store.append(at, at + 120.0, "MK", act)


async def timed(words: str, action: object) -> None:
    begun = time.perf_counter()
    await action  # type: ignore[misc]
    print(f"{words}: {1000 * (time.perf_counter() - begun):.0f} ms")


@pytest.mark.bench
async def test_a_year_of_entries(tmp_path: Path) -> None:
    fill(tmp_path / "dairy.db")
    with closing(Store.open(tmp_path / "dairy.db")) as store:
        desk = StoreDesk(
            store,
            lambda: END,
            title="bench",
            zone=ZoneInfo("Europe/Dublin"),
            display=Display(),
            initials="MK",
            styles=load(),
            places=[Place("cave", PlaceKind.CAVE, {})],
            channels={},
            notice=lambda: "",
        )
        app = DashboardApp(desk, ascii_only=False)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            await timed("a key that does nothing", pilot.press("f12"))
            await timed("open the journal", pilot.press("8"))
            page = app.page
            assert isinstance(page, JournalPage)
            print(f"{page.query_one(LongList).count:,} entries")
            for key in ("down", "pagedown", "end", "home", "slash", "s", "m"):
                await timed(key, pilot.press(key))
            begun = time.perf_counter()
            while page._readying is not None:
                await pilot.pause()
            print(f"the rest made ready: {1000 * (time.perf_counter() - begun):.0f} ms")
            await timed("one more letter", pilot.press("e"))
