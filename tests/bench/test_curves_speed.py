"""How fast a place's past opens from five years of roll-ups. Asserts no time."""

import sqlite3
import time
from contextlib import closing
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from cavewatch.cli.desk import StoreDesk
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.style import Limits
from cavewatch.screens.curves.spans import Span
from cavewatch.screens.looking import Looking, bins_of
from cavewatch.screens.place_curves import curve_lines
from cavewatch.screens.place_past import past
from cavewatch.store import Store
from cavewatch.store.database import VERSION
from cavewatch.units import Display

HOUR, DAY = 3600, 86400
END = 20_000 * DAY
YEARS, RECENT = 5 * 365 * DAY, 40 * DAY
PLACES = [
    Place(
        name,
        PlaceKind.CAVE,
        {
            Quantity.TEMPERATURE: Limits(10.0, 14.0, "invented"),
            Quantity.HUMIDITY: Limits(85.0, 95.0, "invented"),
        },
    )
    for name in ("upper cave", "lower cave")
]
CHANNELS = [Channel(place.name, quantity) for place in PLACES for quantity in Quantity]
MEANS = {Quantity.TEMPERATURE: 1200, Quantity.HUMIDITY: 9000}


def fill(path: Path) -> None:
    """Roll-ups as five years of readings every 10 s leave them; minutes of the last weeks only.

    One day in 48 has a peak beyond the range: as many as are looked at by the hour, the costliest.
    """
    with closing(Store.open(path)) as store:
        store.add_readings(Reading(c, float(END - 10), MEANS[c.quantity] / 100) for c in CHANNELS)
    with closing(sqlite3.connect(path)) as connection, connection:
        for number, channel in enumerate(CHANNELS, 1):
            mean = MEANS[channel.quantity]
            for table, width, begin in (
                ("hour", HOUR, END - YEARS),
                ("minute", 60, END - RECENT),
            ):
                n = width // 10
                connection.executemany(
                    f"INSERT OR REPLACE INTO {table} VALUES (?, ?, ?, ?, ?, ?)",
                    (
                        (ts, number, n, n * (mean + ts // HOUR % 24), mean - 90, mean + peak(ts))
                        for ts in range(begin, END, width)
                    ),
                )


def peak(ts: int) -> int:
    """How far values went above their mean in the hour or minute that begins then [hundredths]."""
    return 600 if ts // HOUR % (48 * 24) == 0 else 150


def as_before_days(path: Path) -> None:
    """Take from the store what the step brings it that rolls up by the day."""
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("DROP TABLE day")
        connection.execute("DELETE FROM _sqlite_migrations WHERE name = 'days'")
        connection.execute(f"PRAGMA user_version = {VERSION - 1}")


@pytest.mark.bench
def test_speed_of_opening_a_place(tmp_path: Path) -> None:
    path = tmp_path / "dairy.sqlite"
    fill(path)
    as_before_days(path)
    print(f"\n{path.stat().st_size / 1e6:.0f} MB of roll-ups; {len(CHANNELS)} channels")
    begin = time.perf_counter()
    Store.open(path).close()
    print(f"brought up to date with its days in {time.perf_counter() - begin:.2f} s")
    with closing(Store.open(path)) as store:
        desk = StoreDesk(
            store,
            lambda: float(END),
            title="",
            zone=ZoneInfo("Europe/Dublin"),
            display=Display(),
            initials="",
            styles={},
            places=PLACES,
            channels=dict.fromkeys(CHANNELS, 60.0),
            notice=str,
        )
        dairy = desk.picture()
        view = dairy.places[0]
        for span in Span:
            looking = Looking(span)
            bins = bins_of(looking, float(END), 77)
            asked, drew = [], []
            for _ in range(5):
                begin = time.process_time()
                found = past(desk, view, dairy, bins)
                middle = time.process_time()
                curve_lines(view, found, looking, float(END), desk.zone, desk.display, 77, 16)
                asked.append(middle - begin)
                drew.append(time.process_time() - middle)
            print(f"{span:8} asked {min(asked) * 1e3:7.1f} ms, drawn {min(drew) * 1e3:5.1f} ms CPU")
