"""A disk that fills up under the real recorder: readings wait, entries are refused, all goes on."""

import subprocess
from collections.abc import Iterator
from contextlib import closing
from itertools import pairwise
from pathlib import Path

import pytest
from premises import CONFIG, Premises, line, until

from cavewatch.core.reading import Channel, Quantity
from cavewatch.store import RecorderLock, Store
from cavewatch.store.checking import damage

DAMP = Channel("cave", Quantity.HUMIDITY)


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A real file system of 2 MB."""
    path = tmp_path / "disk"
    path.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=2m,mode=0777", "tmpfs", str(path)]
    try:
        mounted = subprocess.run(command, capture_output=True, check=False).returncode == 0
    except OSError:
        mounted = False
    if not mounted:
        pytest.skip("a file system can only be mounted by root")
    yield path
    subprocess.run(["umount", "-l", str(path)], check=True)


def fill(disk: Path) -> Path:
    ballast = disk / "ballast"
    with ballast.open("wb", buffering=0) as file:
        try:
            while file.write(b"x" * 512):
                pass
        except OSError:
            pass
    return ballast


def test_readings_wait_for_room_entries_are_refused_and_then_all_is_written(
    tmp_path: Path, disk: Path
) -> None:
    premises = Premises(tmp_path, CONFIG.replace("dairy.sqlite", "disk/dairy.sqlite"))
    path = disk / "dairy.sqlite"
    try:
        recording = premises.record()
        lock = RecorderLock(path)
        until(lock.holder)
        board = premises.plug_in(line(12.0, 90.0), 0.2)
        until(path.exists)
        with closing(Store.open(path)) as store:
            until(lambda: store.latest().get(DAMP))
            until(lambda: "store filling" in store.alarms())
            before = store.entries()
            ballast = fill(disk)
            until(lock.said)
            board.kill()
            premises.plug_in(line(12.0, 70.0), 0.2)  # too dry: an alarm while it is full

            assert "the disk is full" in lock.said()
            assert "readings wait in memory" in lock.said()
            refused = premises.call("wheel", "note", "x" * 1500)
            assert refused.returncode == 1
            assert "the disk is full; make room and try again" in refused.stderr
            assert "Traceback" not in refused.stderr
            assert store.entries() == before
            shown = premises.call("status")
            assert "the disk is full" in " ".join(shown.stdout.split())
            until(lambda: int(lock.said().split("; ")[-1].split()[0].replace(",", "")) > 30)
            assert recording.poll() is None
            last = store.latest()[DAMP].at

            ballast.unlink()

            until(lambda: not lock.said())
            until(lambda: "store full" in {t.alarm.key for t in store.transitions(0)})
            until(lambda: f"{DAMP} low" in store.alarms())
            full = [t for t in store.transitions(0) if t.alarm.key == "store full"]
            kept = store.readings(DAMP, last, 1e12)
            assert max(b.at - a.at for a, b in pairwise(kept)) <= 3.0
            [low] = [t for t in store.transitions(0) if t.alarm.key == f"{DAMP} low"]
            assert last < low.at <= full[-1].at
        assert damage(path) == ""
    finally:
        premises.close()
