"""A recorder that is killed in the middle of writing."""

import random
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

import cavewatch
from cavewatch.core.journal import Noted
from cavewatch.core.reading import Channel, Quantity
from cavewatch.store import RecorderLock, Store
from cavewatch.store.checking import damage

CHILD = """
import sys
from itertools import count
from pathlib import Path
from cavewatch.core.journal import Noted
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.store import RecorderLock, Store

path = Path(sys.argv[1])
lock = RecorderLock(path)
assert lock.acquire()
store = Store.open(path)
start = int(sys.argv[2])
for number in count(start):
    store.add_readings([Reading(Channel("cave", Quantity.TEMPERATURE), 10.0 * number, 12.0)])
    entry = store.append(1.0, 2.0, "MK", Noted(str(number)))
    print(entry.id, number, flush=True)
"""


@pytest.mark.parametrize("seed", range(3))
def test_whatever_was_told_as_written_is_there_after_a_kill(tmp_path: Path, seed: int) -> None:
    path = tmp_path / "dairy.sqlite"
    chance = random.Random(seed)
    told: list[tuple[int, int]] = []
    for _ in range(3):
        child = subprocess.Popen(
            [sys.executable, "-c", CHILD, str(path), str(len(told))],
            cwd=Path(cavewatch.__file__).parents[1],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert child.stdout is not None
        lines = [child.stdout.readline() for _ in range(chance.randint(1, 60))]
        assert RecorderLock(path).holder() == child.pid
        assert not RecorderLock(path).acquire()
        for _ in range(chance.randint(0, 200_000)):
            pass  # the kill comes at any point of the child's next commits
        child.kill()
        lines += child.stdout.readlines()
        child.stdout.close()
        child.wait()
        # A line that the kill cut off told nothing.
        lines = [line for line in lines if line.endswith("\n")]
        told += [(int(entry), int(number)) for entry, number in map(str.split, lines)]

        assert RecorderLock(path).holder() is None
        with closing(Store.open(path)) as store:
            assert damage(path) == ""
            written = {entry.id: entry.act for entry in store.entries()}
            kept = store.readings(Channel("cave", Quantity.TEMPERATURE), 0, 1e9)
            bins = store.bins(Channel("cave", Quantity.TEMPERATURE), 60, 0, 1e9)
        assert all(written.get(entry) == Noted(str(number)) for entry, number in told)
        assert {10.0 * number for _, number in told} <= {reading.at for reading in kept}
        assert sum(each.n for each in bins) == len(kept)
        lock = RecorderLock(path)
        assert lock.acquire()
        lock.release()
