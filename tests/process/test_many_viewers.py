"""Several processes on one store: dashboards beside a recorder, and many that write at once."""

import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from premises import ROOT, Premises, line, until

from cavewatch.core.alarms.table import State
from cavewatch.core.journal import Acknowledged, Noted, Salted
from cavewatch.core.reading import Channel, Quantity
from cavewatch.store import Store

WRITERS, WRITES = 4, 2500
WRITER = """
import sys
from pathlib import Path
from cavewatch.core.journal import Noted
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.store import Store

store, name, count = Store.open(Path(sys.argv[1])), sys.argv[2], int(sys.argv[3])
channel = Channel(name, Quantity.TEMPERATURE)
for number in range(count):
    match number % 5:
        case 0:
            store.append(1.0, 2.0, name, Noted(str(number)))
        case 1:
            store.put_meta(name, str(number))
        case _:
            store.add_readings([Reading(channel, 10.0 * number, 12.0)])
store.close()
"""
VIEWER = """
import sys
from pathlib import Path
from cavewatch.store import Store

store, seen, looks = Store.open(Path(sys.argv[1])), 0, 0
while seen < int(sys.argv[2]):
    if store.changed():
        entries = store.entries(after=seen)
        assert [entry.id for entry in entries] == list(range(seen + 1, seen + 1 + len(entries)))
        seen += len(entries)
        looks += 1
        store.latest()
store.close()
print(looks)
"""


@pytest.fixture
def premises(tmp_path: Path) -> Iterator[Premises]:
    found = Premises(tmp_path)
    yield found
    found.close()


def test_what_is_done_in_one_dashboard_shows_in_the_other_and_reaches_the_recorder(
    premises: Premises,
) -> None:
    made = premises.call("wheel", "new", "gouda", "--weight", "5 lb", "--place", "tub")
    assert made.returncode == 0, made.stderr
    premises.plug_in(line(12.0, 99.0))
    recorder = premises.recording()
    near, far = premises.terminal(), premises.terminal()
    for each in (near, far):
        until(lambda each=each: "99 %" in each.shown)
        until(lambda each=each: "unacknowledged" in each.shown)
        until(lambda each=each: "of salt on the face" in each.shown)

    near.press("s")
    until(lambda: "Write (ctrl+s)" in near.shown)
    near.press("\x13")
    until(lambda: "Written: " in near.shown)
    with premises.store() as store:
        entry = store.entries()[-1]
        assert isinstance(entry.act, Salted)
        assert entry.by == "TT"
        # The recorder has heard of it, and the countdown goes by it.
        until(lambda: [each.basis for each in store.countdowns()] == [entry.id])
    until(lambda: "of salt on the face" not in far.shown)

    far.press("a")
    until(lambda: "Acknowledged: " in far.shown)
    with premises.store() as store:
        key = store.entries()[-1].act
        assert isinstance(key, Acknowledged)
        until(lambda: store.alarms()[key.alarm].state is State.ACKED)
    until(lambda: " acknowledged" in near.shown and "unacknowledged" not in near.shown)

    near.press("q")
    assert near.process.wait(60) == 0
    far.hang_up()
    far.process.wait(60)
    assert recorder.poll() is None


def test_ten_thousand_writes_from_several_processes_meet_no_lock(tmp_path: Path) -> None:
    path = tmp_path / "dairy.sqlite"
    names = [f"p{number}" for number in range(WRITERS)]
    notes = WRITES // 5

    def start(code: str, *words: str) -> subprocess.Popen[str]:
        return subprocess.Popen(
            [sys.executable, "-c", code, str(path), *words],
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    processes = [start(WRITER, name, str(WRITES)) for name in names]
    processes.append(start(VIEWER, str(WRITERS * notes)))
    said = [process.communicate() for process in processes]
    assert [error for _, error in said] == [""] * len(processes)
    assert {process.returncode for process in processes} == {0}
    assert int(said[-1][0]) > 10
    store = Store.open(path)
    try:
        entries = store.entries()
        assert len(entries) == WRITERS * notes
        for name in names:
            told = [entry.act for entry in entries if entry.by == name]
            assert told == [Noted(str(number)) for number in range(0, WRITES, 5)]
            assert store.meta(name) == str(WRITES - 4)
            kept = store.readings(Channel(name, Quantity.TEMPERATURE), 0.0, 1e9)
            assert len(kept) == WRITES * 3 // 5
    finally:
        store.close()


def test_a_viewer_shows_readings_as_they_come(premises: Premises) -> None:
    board = premises.plug_in(line(12.0, 90.0))
    premises.recording()
    viewer = premises.terminal()
    until(lambda: "12.0 " in viewer.shown)
    board.kill()
    premises.plug_in(line(13.5, 90.0))
    until(lambda: "13.5 " in viewer.shown)


def test_a_dashboard_that_hangs_on_its_terminal_ends_when_that_goes_away(
    premises: Premises,
) -> None:
    premises.recording()
    stuck = premises.terminal()
    until(lambda: "places" in stuck.shown)
    stuck.stall()
    for number in range(100):
        stuck.resize(120 - number % 2, 40)
        time.sleep(0.05)  # each size is drawn; Textual's queue to the terminal holds 30 writes
    stuck.hang_up()
    assert stuck.process.wait(60) is not None
