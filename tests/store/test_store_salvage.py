"""A damaged store, and the new one that takes its place with what can be read."""

import os
import sqlite3
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.journal import Noted
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.store import DamagedStoreError, Store, StoreError
from cavewatch.store.checking import damage
from cavewatch.store.head import keep, spare
from cavewatch.store.salvage import go_on, progress, renew

CAVE = Channel("lower cave", Quantity.TEMPERATURE)
DAMP = Channel("lower cave", Quantity.HUMIDITY)
DAY = 86400.0
EVERY = 300.0
PAGE = 1024
ROLLED_UP = ("minute", "hour", "day")
WHEN = "2026-11-25T164000"


def transition(at: float) -> Transition:
    told = Explanation("too dry", "door open", "rind cracks", "shut the door", 4.0)
    alarm = Alarm(f"alarm {at:g}", State.UNACK, Priority.LOW, at, told)
    return Transition(at, State.NORM, Trigger.ABNORMAL, alarm)


def filled(path: Path, days: float = 5.0, entries: int = 120) -> None:
    """A store with journal, alarms, and two channels every five minutes."""
    with closing(Store.open(path)) as store:
        for number in range(entries):
            store.append(float(number), float(number), "MK", Noted(f"note {number} " + "x" * 60))
        store.add_transitions(transition(float(at)) for at in range(40))
        store.add_readings(
            Reading(channel, EVERY * number, 10.0 + number % 7)
            for number in range(int(days * DAY / EVERY))
            for channel in (CAVE, DAMP)
        )
        store.put_meta("kept", "yes")


def leaves(path: Path, table: str) -> list[int]:
    """The pages of a table that hold rows, by a look into the file; page 1 is the first."""
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
        [(root,)] = raw.execute("SELECT rootpage FROM sqlite_schema WHERE name = ?", (table,))
    pages = path.read_bytes()
    found, waiting = [], [root]
    while waiting:
        number = waiting.pop()
        head = (number - 1) * PAGE
        kind, cells = pages[head], int.from_bytes(pages[head + 3 : head + 5], "big")
        if kind in (0x0D, 0x0A):
            found.append(number)
            continue
        below = [int.from_bytes(pages[head + 8 : head + 12], "big")]
        for cell in range(cells):
            at = head + int.from_bytes(pages[head + 12 + 2 * cell : head + 14 + 2 * cell], "big")
            below.append(int.from_bytes(pages[at : at + 4], "big"))
        waiting += below
    return sorted(found)


def tear(path: Path, pages: Iterable[int]) -> None:
    with path.open("r+b") as file:
        for number in pages:
            file.seek((number - 1) * PAGE)
            file.write(b"\xa5" * PAGE)


def content(path: Path) -> dict[str, set[tuple[object, ...]]]:
    with closing(sqlite3.connect(path)) as raw:
        return {
            table: set(raw.execute(f"SELECT * FROM {table}").fetchall())
            for table in ("journal", "alarm", "reading", "minute", "hour", "day", "channel")
        }


def sound(path: Path) -> bool:
    with closing(sqlite3.connect(path)) as raw:
        return raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def finish(path: Path) -> None:
    found = go_on(path, lambda: True)
    assert found is not None
    assert found.until is None


@pytest.mark.parametrize("table", ["journal", "alarm", "reading", "minute", "hour", "day"])
def test_a_torn_page_is_found_and_costs_only_its_own_rows(path: Path, table: str) -> None:
    filled(path)
    before = content(path)
    torn = leaves(path, table)
    torn = torn[len(torn) // 2 : len(torn) // 2 + 1]
    tear(path, torn)
    bytes_before = path.read_bytes()

    assert damage(path) != ""
    salvage = renew(path, WHEN)
    finish(path)
    after = content(path)

    aside = path.with_name(f"dairy.sqlite.damaged-{WHEN}")
    assert aside.name == salvage.aside
    assert aside.read_bytes() == bytes_before
    assert sound(path)
    assert damage(path) == ""
    for name, rows in before.items():
        if name in ROLLED_UP:
            continue  # what is torn is worked out again, below
        lost = rows - after[name]
        assert after[name] <= rows
        assert bool(lost) is (name == table)
        assert len(lost) < 80  # rows that fit on one page
    if table != "reading":
        assert [after[n] for n in ROLLED_UP] == [before[n] for n in ROLLED_UP]
    assert salvage.torn or progress_torn(path)


def progress_torn(path: Path) -> bool:
    with closing(Store.open(path)) as store:
        found = progress(store)
    return found is not None and found.torn


def test_numbers_stay_and_new_entries_go_on_above_them(path: Path) -> None:
    filled(path)
    [page, *_] = leaves(path, "journal")
    tear(path, [page])

    salvage = renew(path, WHEN)

    with closing(Store.open(path)) as store:
        found = store.entries()
        assert salvage.entries == len(found) > 100
        assert found[-1].id == 120
        assert all(entry.act == Noted(f"note {entry.id - 1} " + "x" * 60) for entry in found)
        assert store.append(1.0, 1.0, "MK", Noted("new")).id == 121
        assert store.meta("kept") == "yes"


def test_what_is_needed_at_once_is_there_at_once_and_the_rest_follows(path: Path) -> None:
    filled(path, days=10.0)
    tear(path, leaves(path, "journal")[:1])

    salvage = renew(path, WHEN)

    with closing(Store.open(path)) as store:
        newest = 10 * DAY
        assert len(store.readings(CAVE, newest - 3 * DAY, newest)) == 3 * 288
        assert len(store.readings(CAVE, 0, newest)) < 4 * 288
        assert len(store.bins(CAVE, 3600, 0, newest)) == 240
        assert store.latest()[CAVE].at == newest - EVERY
        assert len(store.transitions(0)) == salvage.transitions == 40
    finish(path)
    with closing(Store.open(path)) as store:
        assert len(store.readings(CAVE, 0, newest)) == 10 * 288
        assert progress(store).readings == 2 * 10 * 288  # type: ignore[union-attr]


def test_what_is_broken_off_goes_on_where_it_was(path: Path) -> None:
    filled(path, days=10.0)
    before = content(path)
    tear(path, leaves(path, "journal")[:1])
    renew(path, WHEN)
    rounds = iter([True, True, False])

    broken_off = go_on(path, lambda: next(rounds))
    assert broken_off is not None
    assert broken_off.until is not None
    finish(path)

    after = content(path)
    assert all(after[name] == before[name] for name in ("reading", *ROLLED_UP, "channel"))


def test_a_file_that_somebody_takes_away_meanwhile_ends_the_salvage_as_torn(path: Path) -> None:
    filled(path, days=10.0)
    tear(path, leaves(path, "journal")[:1])
    salvage = renew(path, WHEN)
    assert salvage.until is not None
    path.with_name(salvage.aside).unlink()

    ended = go_on(path, lambda: True)

    assert ended is not None
    assert (ended.until, ended.torn) == (None, True)
    with closing(Store.open(path)) as store:
        assert progress(store) == ended


def test_a_reading_that_comes_late_meanwhile_is_rolled_up_with_the_rest(path: Path) -> None:
    filled(path, days=10.0)
    tear(path, leaves(path, "journal")[:1])
    renew(path, WHEN)
    with closing(Store.open(path)) as store:
        store.add_readings([Reading(CAVE, DAY + 7.0, 20.0)])

    finish(path)

    with closing(Store.open(path)) as store:
        [minute] = store.bins(CAVE, 60, DAY, DAY + 60)
        assert (minute.n, minute.high) == (2, 20.0)
        [hour] = store.bins(CAVE, 3600, DAY, DAY + 3600)
        assert (hour.n, hour.high) == (13, 20.0)
        [day] = store.gathered(CAVE, DAY, DAY, 2 * DAY)
        assert (day.n, day.high) == (289, 20.0)


def test_channels_whose_rows_are_torn_keep_their_names(path: Path) -> None:
    filled(path)
    before = content(path)
    tear(path, leaves(path, "channel"))

    renew(path, WHEN)
    finish(path)

    with closing(Store.open(path)) as store:
        assert set(store.latest()) == {CAVE, DAMP}
        assert store.latest()[CAVE].at == 5 * DAY - EVERY
    assert content(path)["reading"] == before["reading"]


@pytest.mark.parametrize("torn", [slice(0, 512), slice(512, 1024), slice(0, 1024)])
@pytest.mark.parametrize("with_what", [b"\0", b"\xa5"])
def test_a_torn_head_costs_nothing_where_a_spare_was_kept(
    path: Path, torn: slice, with_what: bytes
) -> None:
    filled(path, days=0.2)
    keep(path)
    filled(path, days=2.0)
    before = content(path)
    with path.open("r+b") as file:
        file.seek(torn.start)
        file.write(with_what * (torn.stop - torn.start))
    with pytest.raises(DamagedStoreError), closing(Store.open(path)) as store:
        store.entries()

    renew(path, WHEN)
    finish(path)

    after = content(path)
    assert sound(path)
    assert {name: after[name] for name in before} == before


def test_a_spare_is_kept_once_and_made_anew_after_a_migration_only(path: Path) -> None:
    filled(path, days=0.2)
    keep(path)
    kept = spare(path)
    made = kept.stat().st_mtime_ns
    filled(path, days=1.0)
    keep(path)
    assert kept.stat().st_mtime_ns == made

    with closing(sqlite3.connect(path)) as raw:
        raw.execute("CREATE TABLE another (x)")
    keep(path)
    assert kept.stat().st_mtime_ns != made


@pytest.mark.parametrize("content", [b"", b"my letters\n" * 200])
def test_no_spare_is_kept_of_what_is_no_store(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    keep(path)
    assert not spare(path).exists()


def test_a_file_whose_head_is_torn_is_set_aside_too(path: Path) -> None:
    filled(path, days=1.0)
    with path.open("r+b") as file:
        file.write(bytes(512))
    with pytest.raises(DamagedStoreError, match="head of the store's file is torn"):
        Store.open(path)

    salvage = renew(path, WHEN)

    assert salvage.torn
    with closing(Store.open(path)) as store:
        assert store.entries() == []
    assert path.with_name(salvage.aside).exists()


@pytest.mark.parametrize("content", [b"my letters\n" * 100, b"\x00" * 100 + b"x" * 900])
def test_a_file_of_another_program_is_refused_and_stays(path: Path, content: bytes) -> None:
    path.write_bytes(content)

    with pytest.raises(StoreError, match="this is no store of Cavewatch") as refused:
        Store.open(path)

    assert not isinstance(refused.value, DamagedStoreError)
    assert path.read_bytes() == content


@settings(deadline=None, max_examples=8)
@given(st.randoms(use_true_random=False), st.integers(1, 20))
def test_whatever_is_torn_the_new_store_is_sound_and_invents_nothing(
    tmp_path_factory: pytest.TempPathFactory, chance: object, number: int
) -> None:
    path = tmp_path_factory.mktemp("torn") / "dairy.sqlite"
    filled(path, days=2.0, entries=40)
    before = content(path)
    pages = path.stat().st_size // PAGE
    tear(path, {chance.randrange(2, pages + 1) for _ in range(number)})  # type: ignore[attr-defined]

    renew(path, WHEN)
    finish(path)

    after = content(path)
    assert sound(path)
    for name in ("journal", "alarm", "reading"):
        assert after[name] <= before[name]


def test_who_has_the_damaged_file_open_turns_to_the_new_one(path: Path) -> None:
    filled(path)
    tear(path, leaves(path, "journal")[:1])
    with closing(Store.open(path)) as viewer, closing(Store.open(path)) as writer:
        generation = viewer.generation()
        viewer.changed()

        renew(path, WHEN)
        entry = writer.append(1.0, 1.0, "MK", Noted("right after"))

        assert viewer.changed()
        assert viewer.generation() != generation
        assert viewer.entries()[-1] == entry
        assert viewer.entries(after=119)[0].id == 120
    # Closing what had the old file open takes nothing away from the new one.
    with closing(Store.open(path)) as store:
        assert store.entries()[-1] == entry
    assert sound(path)


def test_what_another_process_committed_to_the_log_is_saved_too(path: Path) -> None:
    filled(path)
    torn = leaves(path, "minute")[3:4]
    with closing(Store.open(path)) as other:
        other.append(500.0, 500.0, "MK", Noted("in the log"))
        assert path.with_name("dairy.sqlite-wal").stat().st_size > 0
        tear(path, torn)
        renew(path, WHEN)
        assert other.changed()
        assert other.entries()[-1].act == Noted("in the log")


def test_nothing_that_was_set_aside_is_overwritten(path: Path) -> None:
    names = []
    for _ in range(2):
        filled(path, days=0.1)
        tear(path, leaves(path, "minute")[:1])
        names.append(renew(path, WHEN).aside)

    assert len(set(names)) == 2
    assert all(path.with_name(name).exists() for name in names)


@pytest.mark.skipif(os.getuid() == 0, reason="root may write anywhere")
def test_a_directory_that_takes_no_new_file_is_told_and_the_store_stays(path: Path) -> None:
    filled(path, days=0.1)
    path.parent.chmod(0o500)
    try:
        with pytest.raises(StoreError):
            renew(path, WHEN)
    finally:
        path.parent.chmod(0o700)
    assert [p.name for p in path.parent.glob("*damaged*")] == []
