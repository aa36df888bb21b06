"""What a recorder with nothing in salt, and a viewer at rest, do not load."""

import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from premises import ROOT, Premises, line, until

from cavewatch.store import RecorderLock

SOLVER = {"numpy", "pint"}
SCREENS = {"textual", "rich", "asyncio"}
OF_OTHERS = {"sqlite_utils", "minimalmodbus", "paho", "apprise", "ssl"}


@pytest.fixture
def premises(tmp_path: Path) -> Iterator[Premises]:
    found = Premises(tmp_path)
    yield found
    found.close()


def test_a_recorder_at_rest_loads_only_what_this_dairy_needs(premises: Premises) -> None:
    premises.plug_in(line(12.0, 90.0))
    path = premises.config.store_path
    log = premises.config_path.with_name("imports")
    with log.open("wb") as file:
        recorder = subprocess.Popen(
            [sys.executable, "-X", "importtime", *premises.command[1:], "record"],
            stderr=file,
            cwd=ROOT,
        )
    try:
        # Made by the recorder itself, which needs a library for that.
        until(lambda: RecorderLock(path).holder() == recorder.pid and path.exists())
        with premises.store() as store:
            until(store.latest)
        recorder.send_signal(signal.SIGTERM)
        assert recorder.wait(60) == 0
    finally:
        recorder.kill()
        recorder.wait()
    rows = [row for row in log.read_text().splitlines() if row.startswith("import time:")]
    loaded = {row.rpartition("|")[2].strip().partition(".")[0] for row in rows}
    assert "sqlite3" in loaded
    assert loaded & (SOLVER | SCREENS | OF_OTHERS) == set()


def test_a_viewer_of_wheels_in_brine_does_without_the_solver(premises: Premises) -> None:
    made = premises.call("wheel", "new", "gouda", "--weight", "5 lb", "--place", "tub")
    assert made.returncode == 0, made.stderr
    recorder = premises.recording()
    viewer = premises.terminal()
    until(lambda: "of salt on the face" in viewer.shown)
    solver = "_multiarray_umath"  # numpy's, as it is mapped into a process
    assert solver in Path(f"/proc/{recorder.pid}/maps").read_text()
    assert solver not in Path(f"/proc/{viewer.process.pid}/maps").read_text()
