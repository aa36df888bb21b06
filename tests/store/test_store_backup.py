"""A copy of the store made while others write to it."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from cavewatch.core.journal import Noted
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.store import Store, StoreError
from cavewatch.store.backup import back_up

CAVE = Channel("lower cave", Quantity.TEMPERATURE)


def test_the_copy_is_one_moment_while_another_connection_goes_on_writing(
    store: Store, path: Path, tmp_path: Path
) -> None:
    store.add_readings(Reading(CAVE, float(at), 12.0) for at in range(150_000))
    entry = store.append(1.0, 1.0, "MK", Noted("before"))
    parts: list[float] = []

    def write(part: float) -> None:
        parts.append(part)
        store.append(2.0, 2.0, "MK", Noted("meanwhile"))
        store.add_readings([Reading(CAVE, 1e6 + len(parts), 13.0)])

    copy = tmp_path / "copy.sqlite"
    back_up(path, copy, write)

    assert len(parts) > 1
    assert parts == sorted(parts)
    assert parts[-1] == 1.0
    assert {p.name for p in tmp_path.iterdir() if p.name.startswith("copy")} == {"copy.sqlite"}
    with closing(sqlite3.connect(copy)) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    with closing(Store.open(copy)) as found:
        assert found.entries() == [entry]
        assert len(found.readings(CAVE, 0, 1e9)) == 150_000
        assert found.bins(CAVE, 3600, 0, 1e9) == store.bins(CAVE, 3600, 0, 9e5)
    assert len(store.entries()) == 1 + len(parts)


@pytest.mark.usefixtures("store")
def test_nothing_is_overwritten(path: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.sqlite"
    copy.write_text("mine")

    with pytest.raises(StoreError, match=r"copy.sqlite is there already"):
        back_up(path, copy)

    assert copy.read_text() == "mine"


def test_what_somebody_puts_there_meanwhile_is_not_overwritten(
    store: Store, path: Path, tmp_path: Path
) -> None:
    copy = tmp_path / "copy.sqlite"
    store.append(1.0, 1.0, "MK", Noted("x"))

    def interfere(_: float) -> None:
        copy.write_text("mine")

    with pytest.raises(StoreError, match=r"copy.sqlite is there already"):
        back_up(path, copy, interfere)

    assert copy.read_text() == "mine"
    assert not list(tmp_path.glob("*.part*"))


def test_breaking_off_leaves_nothing(store: Store, path: Path, tmp_path: Path) -> None:
    store.add_readings(Reading(CAVE, float(at), 12.0) for at in range(150_000))

    def interrupt(_: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        back_up(path, tmp_path / "copy.sqlite", interrupt)

    assert not list(tmp_path.glob("copy*"))
    store.add_readings([Reading(CAVE, 1e6, 12.0)])


@pytest.mark.usefixtures("store")
def test_a_place_that_takes_no_copy_and_a_store_that_is_not_there_are_told(
    path: Path, tmp_path: Path
) -> None:
    with pytest.raises(StoreError, match=r"no/copy.sqlite"):
        back_up(path, tmp_path / "no" / "copy.sqlite")
    with pytest.raises(StoreError, match=r"other.sqlite: there is no store"):
        back_up(tmp_path / "other.sqlite", tmp_path / "copy.sqlite")
    assert not (tmp_path / "other.sqlite").exists()
