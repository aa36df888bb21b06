"""The recorder's lock, within one process; tests/process kills its holder."""

import os
import threading
from pathlib import Path

import pytest

from cavewatch.store import RecorderLock, StoreError


def test_only_one_holds_the_lock_and_its_number_is_told(path: Path) -> None:
    mine, other = RecorderLock(path), RecorderLock(path)

    assert mine.holder() is None
    assert mine.acquire()
    assert mine.acquire()  # again is no harm
    assert not other.acquire()
    assert mine.holder() == other.holder() == os.getpid()

    mine.release()
    mine.release()
    assert other.holder() is None
    assert other.acquire()
    other.release()


def test_a_number_left_in_the_file_holds_nothing(path: Path) -> None:
    path.with_name("dairy.sqlite.lock").write_text(f"{os.getpid()}\n")

    assert RecorderLock(path).holder() is None


def test_looking_makes_no_file_and_taking_makes_the_directory(tmp_path: Path) -> None:
    path = tmp_path / "var" / "dairy.sqlite"
    lock = RecorderLock(path)

    assert lock.holder() is None
    assert list(tmp_path.iterdir()) == []
    assert lock.acquire()
    assert [p.name for p in path.parent.iterdir()] == ["dairy.sqlite.lock"]
    lock.release()


def test_looking_at_the_lock_never_keeps_a_recorder_from_taking_it(path: Path) -> None:
    done = threading.Event()

    def look() -> None:
        lock = RecorderLock(path)
        while not done.is_set():
            lock.holder()

    viewers = [threading.Thread(target=look) for _ in range(3)]
    for viewer in viewers:
        viewer.start()
    recorder = RecorderLock(path)
    try:
        for _ in range(300):
            assert recorder.acquire()
            recorder.release()
    finally:
        done.set()
        for viewer in viewers:
            viewer.join()


def test_a_lock_that_cannot_be_is_told_with_its_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    lock = RecorderLock(tmp_path / "file" / "dairy.sqlite")

    for ask in (lock.acquire, lock.holder):
        with pytest.raises(StoreError, match=r"dairy.sqlite.lock: the recorder's lock"):
            ask()


def test_trouble_is_said_in_place_and_takes_no_more_room_than_the_file_has(path: Path) -> None:
    mine, viewer = RecorderLock(path), RecorderLock(path)
    mine.say("nobody holds the lock, so that nothing is said")
    assert viewer.said() == ""
    assert mine.acquire()
    file = path.with_name("dairy.sqlite.lock")
    size = file.stat().st_size

    for said, shown in (
        ("the disk is full", "the disk is full"),
        ("half \x1b[31m\n a line", "half [31m  a line"),
        ("", ""),
    ):
        mine.say(said)
        assert viewer.said() == shown
        assert viewer.holder() == os.getpid()
        assert file.stat().st_size == size
    mine.say("ü" * 5000)
    assert viewer.said().startswith("ü" * 400)
    assert file.stat().st_size == size

    mine.say("the disk is full")
    mine.release()
    assert viewer.said() == ""
    assert viewer.holder() is None


def test_a_new_holder_says_nothing_of_the_last_one(path: Path) -> None:
    first, second = RecorderLock(path), RecorderLock(path)
    first.acquire()
    first.say("the disk is full")
    first.release()

    second.acquire()

    assert RecorderLock(path).said() == ""
    second.release()
