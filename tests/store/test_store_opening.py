"""Opening a store: a new one, an old one, a newer one, somebody else's file, a damaged one."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from sqlite_utils import Database, Migrations

import cavewatch
from cavewatch.clock import SetBy, Stamp
from cavewatch.core.journal import Noted, Turned
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.store import DamagedStoreError, Store, StoreError, database, migrations
from cavewatch.store.checking import damage

ROOT = Path(cavewatch.__file__).parents[1]
CAVE = Channel("lower cave", Quantity.TEMPERATURE)
CURRENT = database.VERSION


def python(code: str, *arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", code, *arguments],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )


def raw(path: Path, sql: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as connection, connection:
        return connection.execute(sql).fetchall()


def test_file_and_directory_are_made_and_the_group_may_write(tmp_path: Path) -> None:
    path = tmp_path / "var" / "lib" / "dairy.sqlite"
    before = os.umask(0o007)
    try:
        with closing(Store.open(path)) as store:
            store.append(1.0, 1.0, "MK", Noted("x"))
            modes = {p.name: p.stat().st_mode & 0o777 for p in path.parent.iterdir()}
    finally:
        os.umask(before)

    assert modes == {
        "dairy.sqlite": 0o660,
        "dairy.sqlite-wal": 0o660,
        "dairy.sqlite-shm": 0o660,
    }


def test_everything_is_there_after_closing_and_opening_again(path: Path) -> None:
    with closing(Store.open(path)) as store:
        entry = store.append(1.0, 2.0, "MK", Noted("x"))
        store.add_readings([Reading(CAVE, 100.0, 12.5)])
        store.put_meta("stopped", "cleanly")

    with closing(Store.open(path)) as store:
        assert store.entries() == [entry]
        assert store.latest() == {CAVE: Reading(CAVE, 100.0, 12.5)}
        assert store.meta("stopped") == "cleanly"
        assert store.meta("started") is None
        assert damage(path) == ""


def test_a_commit_is_on_the_disk_when_it_returns_and_readers_need_not_wait(store: Store) -> None:
    settings = {
        name: store._rows(f"PRAGMA {name}")[0][0]
        for name in ("journal_mode", "synchronous", "page_size", "busy_timeout")
    }

    assert settings == {
        "journal_mode": "wal",
        "synchronous": 2,  # FULL
        "page_size": 1024,
        "busy_timeout": 10_000,
    }


@pytest.mark.parametrize("program", [sys.executable, "/absent"])
def test_a_new_store_is_made_by_a_short_process_or_here_if_that_cannot_be(
    path: Path, program: str
) -> None:
    code = """
import sys
from pathlib import Path
from cavewatch.store import Store
sys.executable = sys.argv[2]
Store.open(Path(sys.argv[1])).close()
print("sqlite_utils" in sys.modules)
"""
    said, _ = python(code, str(path), program).communicate()

    assert said == ("False\n" if program == sys.executable else "True\n")
    assert raw(path, "PRAGMA user_version") == [(database.VERSION,)]
    assert raw(path, "PRAGMA page_size") == [(1024,)]


def test_a_store_that_is_up_to_date_opens_without_what_only_migrations_need(path: Path) -> None:
    Store.open(path).close()

    code = """
import sys
from pathlib import Path
from cavewatch.store import Store
Store.open(Path(sys.argv[1])).close()
print(*({"sqlite_utils", "numpy", "pint", "textual", "rich"} & set(sys.modules)))
"""
    child = python(code, str(path))
    assert child.communicate()[0].strip() == ""
    assert child.returncode == 0


def test_processes_that_open_a_new_file_at_once_build_it_once(path: Path) -> None:
    code = """
import sys
from pathlib import Path
import cavewatch.store.migrations
from cavewatch.clock import SetBy, Stamp
from cavewatch.core.journal import Noted, Turned
from cavewatch.store import Store
print("ready", flush=True)
sys.stdin.readline()
store = Store.open(Path(sys.argv[1]))
store.append(1.0, 1.0, "MK", Noted("x"))
store.close()
"""
    children = [python(code, str(path)) for _ in range(4)]
    for child in children:
        assert child.stdout is not None
        assert child.stdout.readline() == "ready\n"
    for child in children:
        child.communicate("go\n")

    assert [child.returncode for child in children] == [0, 0, 0, 0]
    with closing(Store.open(path)) as store:
        assert [entry.id for entry in store.entries()] == [1, 2, 3, 4]


def test_every_step_is_applied_and_counted(path: Path) -> None:
    Store.open(path).close()

    with closing(sqlite3.connect(path)) as connection:
        tables = Database(connection, execute_plugins=False)
        assert migrations.steps.pending(tables) == []
        assert len(migrations.steps.applied(tables)) == database.VERSION


def grown(step: str) -> Migrations:
    """The steps with one more that runs this SQL."""
    steps = Migrations("cavewatch")
    steps()(migrations.first_tables)
    steps()(migrations.clocks)
    steps()(migrations.days)

    @steps()
    def newest(db: Database) -> None:
        db.execute("CREATE TABLE cellar (id INTEGER PRIMARY KEY)")
        db.execute(step)

    return steps


def one_version_on(monkeypatch: pytest.MonkeyPatch, steps: Migrations) -> None:
    monkeypatch.setattr(migrations, "steps", steps)
    for module in (database, migrations):
        monkeypatch.setattr(module, "VERSION", CURRENT + 1)


def test_an_older_store_is_brought_up_to_date_with_all_that_is_in_it(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(Store.open(path)) as store:
        entry = store.append(1.0, 2.0, "MK", Noted("x"))

    one_version_on(monkeypatch, grown("INSERT INTO cellar VALUES (7)"))
    with closing(Store.open(path)) as store:
        assert store.entries() == [entry]

    assert raw(path, "SELECT id FROM cellar") == [(7,)]
    assert raw(path, "PRAGMA user_version") == [(CURRENT + 1,)]


def test_a_step_that_fails_leaves_the_store_as_it_was(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(Store.open(path)) as store:
        entry = store.append(1.0, 2.0, "MK", Noted("x"))

    with monkeypatch.context() as patch:
        one_version_on(patch, grown("INSERT INTO nowhere VALUES (7)"))
        with pytest.raises(StoreError, match=r"dairy.sqlite: .*nowhere"):
            Store.open(path)

    assert raw(path, "SELECT name FROM sqlite_schema WHERE name = 'cellar'") == []
    with closing(Store.open(path)) as store:
        assert store.entries() == [entry]


def test_a_store_of_a_newer_version_is_refused_and_untouched(path: Path) -> None:
    Store.open(path).close()
    raw(path, "PRAGMA user_version = 99")
    before = path.read_bytes()

    with pytest.raises(StoreError, match=r"dairy.sqlite: a newer Cavewatch wrote .*format 99"):
        Store.open(path)

    assert path.read_bytes() == before


def test_the_database_of_another_program_is_refused_and_untouched(path: Path) -> None:
    raw(path, "CREATE TABLE recipes (id)")
    before = path.read_bytes()

    with pytest.raises(StoreError, match=r"dairy.sqlite: .*another program"):
        Store.open(path)

    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_a_file_that_is_no_database_is_refused_and_untouched(path: Path) -> None:
    path.write_text("[dairy]\nname = 'here'\n" * 100)
    before = path.read_bytes()

    with pytest.raises(StoreError, match=r"dairy.sqlite: this is no store") as refused:
        Store.open(path)

    assert not isinstance(refused.value, DamagedStoreError)
    assert path.read_bytes() == before


@pytest.mark.parametrize("name", ["", "file/below.sqlite", "nul\0.sqlite"])
def test_a_path_that_cannot_be_a_store_is_told(tmp_path: Path, name: str) -> None:
    (tmp_path / "file").write_text("")

    with pytest.raises(StoreError, match="store"):
        Store.open(tmp_path / name)


def test_a_closed_store_says_so(path: Path) -> None:
    store = Store.open(path)
    store.close()

    with pytest.raises(StoreError, match=r"dairy.sqlite: .*closed"):
        store.latest()


def test_damage_is_told_and_what_to_do(path: Path) -> None:
    with closing(Store.open(path)) as store:
        store.add_readings(Reading(CAVE, at, 12.0) for at in range(20_000))
    size = path.stat().st_size
    with path.open("r+b") as file:
        file.seek(size // 2)
        file.write(os.urandom(size // 4))

    assert damage(path) != ""
    with (
        closing(Store.open(path)) as store,
        pytest.raises(DamagedStoreError, match=r"dairy.sqlite: the store is damaged .* saves what"),
    ):
        store.readings(CAVE, 0, 1e9)


def test_a_file_that_is_taken_away_takes_no_entry_into_nowhere(path: Path, store: Store) -> None:
    path.unlink()

    with pytest.raises(StoreError, match="the store's file is gone"):
        store.append(1.0, 1.0, "MK", Noted("x"))


@pytest.mark.parametrize("umask", [0o022, 0o077])
def test_the_group_may_write_whatever_the_umask(path: Path, umask: int) -> None:
    before = os.umask(umask)
    try:
        with closing(Store.open(path)) as store:
            store.append(1.0, 1.0, "MK", Noted("x"))
            modes = [p.stat().st_mode & 0o060 for p in path.parent.iterdir()]
    finally:
        os.umask(before)

    assert modes == [0o060] * 3


@pytest.fixture
def old(path: Path) -> Path:
    """A store as it was before clocks were kept."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        steps = migrations.Migrations("cavewatch")
        steps()(migrations.first_tables)
        steps.apply(Database(connection, execute_plugins=False))
        connection.execute("PRAGMA user_version = 1")
        plain = '{"kind":"turned","wheels":[7]}'
        connection.execute("INSERT INTO journal VALUES (1, 10, 20, 'MK', 'turned', ?)", (plain,))
        connection.execute("INSERT INTO channel VALUES (1, 'lower cave', 'temperature', 100)")
        connection.execute("INSERT INTO reading VALUES (100, 1, 1250, NULL)")
    return path


def test_a_store_from_before_clocks_were_kept_is_brought_up_to_date(old: Path) -> None:
    with closing(Store.open(old)) as store:
        [entry] = store.entries()
        assert (entry.at, entry.written, entry.act) == (10.0, 20.0, Turned((7,)))
        assert store.latest() == {CAVE: Reading(CAVE, 100.0, 12.5)}
        assert store.judged(Stamp(50.0, "a", 1.0, SetBy.NETWORK)).sure
