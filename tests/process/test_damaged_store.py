"""A store that is damaged under the real recorder, or while none was running."""

import signal
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from premises import Premises, line, until

from cavewatch.core.alarms.table import State
from cavewatch.core.journal import Noted
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.store import RecorderLock, Store

CAVE = Channel("cave", Quantity.TEMPERATURE)
PAGE = 1024
OLD = int(time.time() - 60 * 86400) // 3600 * 3600
"""When old readings begin [s since 1970 UTC]."""


@pytest.fixture
def premises(tmp_path: Path) -> Iterator[Premises]:
    premises = Premises(tmp_path)
    yield premises
    premises.close()


def fill(store: Store) -> None:
    """Notes, and readings of some weeks ago."""
    for number in range(300):
        store.append(1e9 + number, 1e9 + number, "MK", Noted(f"note {number} " + "x" * 100))
    store.add_readings(Reading(CAVE, OLD + 60.0 * number, 12.0) for number in range(3000))


def tear(path: Path, where: bytes) -> None:
    """Overwrite the page of the file in which this stands."""
    content = path.read_bytes()
    page = content.index(where) // PAGE
    with path.open("r+b") as file:
        file.seek(page * PAGE)
        file.write(b"\xa5" * PAGE)


def aside(path: Path) -> list[Path]:
    return [p for p in path.parent.glob("*.damaged-*") if not p.name.endswith(("-wal", "-shm"))]


def all_saved(store: Store) -> None:
    """But for the torn page, and with an alarm that says so, until it is acknowledged."""
    until(lambda: len(store.readings(CAVE, OLD, OLD + 1e6)) == 3000)
    entries = store.entries()
    assert 285 < len(entries) < 300
    assert entries[-1].id == 300

    def told() -> str:
        alarm = store.alarms().get("store damaged")
        calm = alarm is not None and alarm.state is State.RTNUN
        return alarm.explanation.what if alarm is not None and calm else ""

    said = until(told)
    assert f"{len(entries)} journal entries" in said
    assert "readings were saved; some of it could not be read" in said


def test_damage_under_the_recorder_is_set_aside_and_recording_goes_on(premises: Premises) -> None:
    path = premises.config.store_path
    with premises.store() as store:
        fill(store)
    recording = premises.record()
    premises.plug_in(line(12.0, 90.0), 0.2)
    with premises.store() as store:
        until(lambda: store.latest()[CAVE].at > OLD + 1e6)
        last, torn = store.latest()[CAVE].at, store.file
        store._rows("PRAGMA wal_checkpoint(PASSIVE)")
        tear(path, b"note 150 ")
        # The recorder reads no old entry by itself; one that begins anew does.
        recording.send_signal(signal.SIGKILL)
        recording.wait()
        premises.record()

        until(lambda: store.changed() and store.file != torn)
        all_saved(store)
        until(lambda: store.latest()[CAVE].at > last + 3.0)
        kept = store.readings(CAVE, last, 1e12)
        assert kept[0].at == last  # what it had committed came over, too
        entry = store.append(2e9, 2e9, "MK", Noted("afterwards"))
        assert entry.id == 301
    told = premises.call("status").stdout
    assert "was damaged and a new one was begun" in " ".join(told.split())


def test_a_page_that_only_the_check_meets_is_found_after_an_unclean_stop(
    premises: Premises,
) -> None:
    path = premises.config.store_path
    with premises.store() as store:
        fill(store)
        # Nobody reads readings of weeks ago, except for the check.
    recording = premises.record()
    until(RecorderLock(path).holder)
    premises.plug_in(line(12.0, 90.0), 0.2)
    with premises.store() as store:
        until(lambda: store.latest()[CAVE].at > OLD + 1e6)
        store._rows("PRAGMA wal_checkpoint(PASSIVE)")
    recording.send_signal(signal.SIGKILL)
    recording.wait()
    content = path.read_bytes()
    # Timestamps of four bytes before a channel's 1 and 1200 hundredths.
    at = content.index((OLD + 60 * 1500).to_bytes(4, "big"))
    with path.open("r+b") as file:
        file.seek(at // PAGE * PAGE)
        file.write(b"\xa5" * PAGE)

    inode = path.stat().st_ino
    premises.record()

    until(lambda: path.stat().st_ino != inode)
    assert len(aside(path)) == 1
    with premises.store() as store:
        assert len(store.entries()) == 300
        until(lambda: 2800 < len(store.readings(CAVE, OLD, OLD + 1e6)) < 3000)


def test_a_clean_stop_is_not_followed_by_a_check_of_the_whole_file(premises: Premises) -> None:
    path = premises.config.store_path
    recording = premises.record()
    with premises.store() as store:
        until(lambda: store.meta("recording") == "yes")
        until(lambda: RecorderLock(path).holder())
        recording.send_signal(signal.SIGTERM)
        assert recording.wait(30) == 0
        assert store.meta("recording") == ""
    assert aside(path) == []


def test_a_file_of_another_program_is_refused_and_left_alone(premises: Premises) -> None:
    path = premises.config.store_path
    path.write_bytes(b"letters\n" * 500)

    told = premises.call("record")

    assert told.returncode == 1
    assert "this is no store of Cavewatch; name another file" in told.stderr
    assert "Traceback" not in told.stderr
    assert path.read_bytes() == b"letters\n" * 500
    assert aside(path) == []
