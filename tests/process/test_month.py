"""A recorder that runs for weeks does not grow: time is invented, memory is told by the kernel."""

import os
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest
from premises import ROOT

from cavewatch.store import Store

MONTH = Path(__file__).with_name("month.py")


def recorded(folder: Path, days: int, step: int) -> list[list[int]]:
    """After each day: its number, memory [kB], entries, transitions, countdowns."""
    # Made beforehand: what only making it needs would count as the recorder's memory.
    Store.open(folder / "month.sqlite").close()
    run = subprocess.run(
        [sys.executable, str(MONTH), str(folder), str(days), str(step)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    return [[int(word) for word in line.split()] for line in run.stdout.splitlines()]


def grown(told: list[list[int]], settled: int) -> int:
    """Growth of the memory since the day from which on it should stay [kB]."""
    memory = {day: resident for day, resident, *_ in told}
    return memory[len(told)] - memory[settled]


def lively(told: list[list[int]]) -> bool:
    """Whether there was something to do every day: entries, alarms, countdowns."""
    return all(b[2] > a[2] and b[3] > a[3] and b[4] > 0 for a, b in pairwise(told))


def test_a_recorder_hardly_grows_from_day_to_day(tmp_path: Path) -> None:
    told = recorded(tmp_path, days=5, step=30)
    assert lively(told)
    assert grown(told, settled=3) < 6_000


@pytest.mark.long
def test_the_memory_of_a_recorder_stays_flat_for_a_month(tmp_path: Path) -> None:
    told = recorded(tmp_path, days=31, step=10)
    print(*told, sep="\n")
    assert lively(told)
    assert grown(told, settled=15) < 4_000
