"""How fast the store is with a week of readings: 4 channels every 10 s. Asserts no time."""

import random
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.store import Store

WEEK = 7 * 86400
START = 2800.0 * WEEK
CHANNELS = [Channel(place, quantity) for place in ("cave", "tub") for quantity in Quantity]


def cpu(what: str, act: Callable[[], Any], times: int = 5) -> None:
    spent = []
    for _ in range(times):
        before = time.process_time()
        act()
        spent.append(time.process_time() - before)
    print(f"{what:56} {min(spent) * 1e3:9.2f} ms CPU")


def written() -> int:
    """Bytes that this process has sent towards the disk so far."""
    lines = Path("/proc/self/io").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("write_bytes"))


def at(second: int) -> list[Reading]:
    values = random.Random(second)
    return [Reading(c, START + second, round(values.uniform(5, 15), 2)) for c in CHANNELS]


@pytest.mark.bench
def test_speed_of_a_week(tmp_path: Path) -> None:
    path = tmp_path / "dairy.sqlite"
    week = [reading for second in range(0, WEEK, 10) for reading in at(second)]
    end = START + WEEK
    print()
    with closing(Store.open(path)) as store:
        cpu(
            f"insert {len(week):,} readings in one transaction", lambda: store.add_readings(week), 1
        )
        one = CHANNELS[0]
        cpu("the week by the minute, 1 channel", lambda: store.bins(one, 60, START, end))
        cpu(
            "the week by the minute, 4 channels",
            lambda: [store.bins(channel, 60, START, end) for channel in CHANNELS],
        )
        cpu("the week by the hour, 1 channel", lambda: store.bins(one, 3600, START, end))
        cpu("the week's readings, 1 channel", lambda: store.readings(one, START, end))
        cpu("newest of 4 channels", store.latest, 100)
        cpu("has anything changed", store.changed, 100)

        before, commits = written(), 500
        cpu(
            f"{commits} commits of 4 readings each",
            lambda: [store.add_readings(at(WEEK + 10 * n)) for n in range(commits)],
            1,
        )
        day = (written() - before) / commits * 8640
        print(f"{'a day of commits every 10 s writes':56} {day / 1e6:9.1f} MB")
    print(f"{'size of the file':56} {path.stat().st_size / 1e6:9.2f} MB")
    with closing(Store.open(tmp_path / "minutes.sqlite")) as store:
        cpu(
            "the week again, a commit for each minute",
            lambda: [store.add_readings(week[n : n + 24]) for n in range(0, len(week), 24)],
            1,
        )
