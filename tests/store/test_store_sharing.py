"""Several connections to one store, and one store in several threads."""

import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from cavewatch.core.journal import Noted
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.store import Store, StoreError

CAVE = Channel("lower cave", Quantity.TEMPERATURE)


@pytest.fixture
def viewer(path: Path) -> Iterator[Store]:
    with closing(Store.open(path)) as viewer:
        yield viewer


def test_what_one_commits_the_other_sees_and_is_told_once(store: Store, viewer: Store) -> None:
    viewer.changed()
    assert not viewer.changed()

    entry = store.append(1.0, 2.0, "MK", Noted("x"))
    assert viewer.changed()
    assert viewer.entries() == [entry]
    assert not viewer.changed()

    store.add_readings([Reading(CAVE, 100.0, 12.0)])
    assert viewer.changed()
    assert viewer.latest()[CAVE].value == 12.0
    assert not viewer.changed()


def test_the_first_question_is_answered_with_news(store: Store, viewer: Store) -> None:
    assert store.changed()
    assert viewer.changed()
    assert not store.changed()


def test_a_store_is_told_of_its_own_writing_but_not_of_its_reading(store: Store) -> None:
    store.changed()
    store.append(1.0, 2.0, "MK", Noted("x"))
    assert store.changed()

    store.entries()
    store.latest()
    assert not store.changed()


def test_readings_that_were_there_already_are_no_news(store: Store, viewer: Store) -> None:
    reading = Reading(CAVE, 100.0, 12.0)
    store.add_readings([reading])
    store.changed()
    viewer.changed()

    store.add_readings([reading])

    assert not store.changed()
    assert not viewer.changed()


def test_a_viewer_reads_on_while_the_recorder_is_in_the_middle_of_writing(
    store: Store, viewer: Store
) -> None:
    with store._writing() as connection:
        connection.execute("INSERT INTO meta VALUES ('half', 'done')")
        assert viewer.meta("half") is None
    assert viewer.meta("half") == "done"


def test_who_writes_has_the_turn_from_the_start_and_others_are_told_that_they_waited(
    store: Store, viewer: Store
) -> None:
    viewer._connection.execute("PRAGMA busy_timeout = 0")
    with (
        store._writing(),
        pytest.raises(StoreError, match=r"dairy.sqlite: another process kept the store busy"),
    ):
        viewer.put_meta("mine", "now")

    viewer.put_meta("mine", "now")
    assert store.meta("mine") == "now"


def test_what_raises_in_the_middle_of_writing_leaves_nothing_behind(store: Store) -> None:
    def fail() -> None:
        with store._writing() as connection:
            connection.execute("INSERT INTO meta VALUES ('half', 'done')")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()

    assert store.meta("half") is None
    store.put_meta("whole", "done")
    assert store.meta("whole") == "done"


def test_threads_may_share_a_store(store: Store) -> None:
    def write(initials: str) -> None:
        for number in range(50):
            store.append(1.0, 2.0, initials, Noted(str(number)))

    threads = [threading.Thread(target=write, args=(name,)) for name in ("AA", "BB", "CC")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    entries = store.entries()
    assert [entry.id for entry in entries] == list(range(1, 151))
    for name in ("AA", "BB", "CC"):
        said = [entry.act for entry in entries if entry.by == name]
        assert said == [Noted(str(number)) for number in range(50)]
