"""Room on the disk, troubles told, and a store that is damaged again and again."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest

from cavewatch.config.texts import shipped
from cavewatch.core.alarms.texts import Words
from cavewatch.core.journal import Noted
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.recorder import safekeeping
from cavewatch.recorder.safekeeping import Safekeeping
from cavewatch.store import DamagedStoreError, UnwritableStoreError

CAVE = Channel("lower cave", Quantity.TEMPERATURE)
WORDS = Words(shipped(), lambda s: f"{s:g} s")
DAY = 86400.0
NOW = 1_760_000_000.0


class Ticks:
    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def ticks() -> Ticks:
    return Ticks()


@pytest.fixture
def make(tmp_path: Path, ticks: Ticks) -> Iterator[Callable[[], Safekeeping]]:
    made: list[Safekeeping] = []

    def one() -> Safekeeping:
        made.append(
            Safekeeping(
                tmp_path / "dairy.sqlite", WORDS, 40 * DAY, lambda: NOW, lambda: "today", ticks
            )
        )
        return made[-1]

    yield one
    for each in made:
        each.close()


def keys(kept: Safekeeping) -> list[str]:
    return [condition.key for condition in kept.conditions()]


def test_a_disk_that_is_nearly_full_is_told_until_there_is_clearly_room_again(
    make: Callable[[], Safekeeping], ticks: Ticks, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = make()
    for free, told in (
        (101e6, []),
        (99e6, ["store filling"]),
        (110e6, ["store filling"]),
        (130e6, []),
    ):
        usage = SimpleNamespace(total=1e9, free=free)
        monkeypatch.setattr(safekeeping.shutil, "disk_usage", lambda _, usage=usage: usage)
        ticks.now += 61.0
        kept.look()
        assert keys(kept) == told


def test_one_per_cent_of_a_large_disk_is_little_too(
    make: Callable[[], Safekeeping], monkeypatch: pytest.MonkeyPatch
) -> None:
    usage = SimpleNamespace(total=64e9, free=500e6)
    monkeypatch.setattr(safekeeping.shutil, "disk_usage", lambda _: usage)
    kept = make()
    kept.look()
    [condition] = kept.conditions()
    assert condition.explanation.what == "the store runs out of room: 500 MB are left"


def test_a_full_store_is_an_alarm_and_a_busy_one_only_if_it_lasts(
    make: Callable[[], Safekeeping], ticks: Ticks
) -> None:
    kept = make()
    [(pages,)] = kept.store._rows("PRAGMA page_count")
    kept.store._rows(f"PRAGMA max_page_count = {pages}")
    kept.holding.add_readings(Reading(CAVE, NOW + n, 12.0) for n in range(3000))
    kept.look()
    assert "store full" in keys(kept)
    assert "the disk is full" in kept.trouble()
    assert "3,000 readings wait in memory" in kept.trouble()

    kept.store._rows("PRAGMA max_page_count = 1073741823")
    kept.look()
    assert kept.trouble() == ""
    assert "store full" not in keys(kept)

    for _ in range(2):
        kept.fail(UnwritableStoreError("busy"))
        kept.look()
        told = keys(kept)
        ticks.now += 61.0
    assert "store unwritable" in told
    assert kept.trouble() == ""


def test_readings_that_found_no_room_leave_an_alarm(make: Callable[[], Safekeeping]) -> None:
    kept = make()
    kept.holding._most = 100
    [(pages,)] = kept.store._rows("PRAGMA page_count")
    kept.store._rows(f"PRAGMA max_page_count = {pages}")
    for first in range(0, 3000, 100):
        kept.holding.add_readings(Reading(CAVE, NOW + first + n, 12.0) for n in range(100))
    kept.look()
    assert "found no room" in kept.trouble()
    assert "store gap" not in keys(kept)

    kept.store._rows("PRAGMA max_page_count = 1073741823")
    kept.look()

    assert "store gap" in keys(kept)
    assert "store gap" not in keys(kept)


def test_what_waits_goes_into_the_store_that_takes_a_damaged_one_s_place(
    make: Callable[[], Safekeeping], tmp_path: Path
) -> None:
    kept = make()
    entry = kept.store.append(NOW, NOW, "MK", Noted("x"))
    kept.holding.trouble = UnwritableStoreError("not now")
    kept.holding.add_readings([Reading(CAVE, NOW, 12.0)])

    kept.renew(DamagedStoreError("torn"))

    assert kept.store.entries() == [entry]
    assert kept.store.latest() == {CAVE: Reading(CAVE, NOW, 12.0)}
    assert (tmp_path / "dairy.sqlite.damaged-today").exists()
    assert "store damaged" in keys(kept)


def test_a_disk_on_which_stores_are_damaged_again_and_again_is_given_up(
    make: Callable[[], Safekeeping],
) -> None:
    kept = make()
    for _ in range(3):
        kept.renew(DamagedStoreError("torn"))

    with pytest.raises(DamagedStoreError, match="torn"):
        kept.renew(DamagedStoreError("torn"))


def test_readings_beyond_their_time_go_and_younger_ones_stay(
    make: Callable[[], Safekeeping],
) -> None:
    kept = make()
    old, young = Reading(CAVE, NOW - 41 * DAY, 12.0), Reading(CAVE, NOW - 39 * DAY, 12.0)
    kept.store.add_readings([old, young])

    again = make()
    deadline = time.monotonic() + 60.0
    while again.store.readings(CAVE, 0.0, 1e12) != [young]:
        assert time.monotonic() < deadline
        time.sleep(0.01)
    assert len(again.store.bins(CAVE, 3600, 0.0, 1e12)) == 2
