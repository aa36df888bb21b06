"""An import that is stopped half way, or killed, leaves what it wrote and goes on from there."""

import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from cavewatch.store import Store

CONFIG = """
[dairy]
name = "Test dairy (invented)"
zone = "UTC"
initials = "MK"
[store]
path = "dairy.sqlite"
[[place]]
name = "cave"
kind = "cave"
"""
ROWS = 60_000
PATIENCE = 60.0
PROGRAM = """
import signal
from cavewatch.__main__ import main
signal.signal(signal.SIGINT, signal.default_int_handler)
main()
"""
"""What a shell starts in the background ignores Ctrl-C, and so would its children."""


def words(folder: Path) -> list[str]:
    config = ["--config", str(folder / "my.toml")]
    return [*config, "import", "readings", str(folder / "logger.csv"), "--yes"]


def started(folder: Path) -> "subprocess.Popen[str]":
    """An import of which some readings are stored."""
    (folder / "my.toml").write_text(CONFIG)
    with (folder / "logger.csv").open("w") as file:
        file.write("epoch,temp\n")
        file.writelines(f"{1_700_000_000 + 60 * n},12.{n % 10}\n" for n in range(ROWS))
    with closing(Store.open(folder / "dairy.sqlite")):
        pass
    process = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, *words(folder)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    end = time.monotonic() + PATIENCE
    while not stored(folder):
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < end
        time.sleep(0.02)
    return process


def stored(folder: Path) -> int:
    with closing(sqlite3.connect(folder / "dairy.sqlite")) as connection:
        return int(connection.execute("SELECT count(*) FROM reading").fetchone()[0])


@pytest.mark.parametrize("signal_", [signal.SIGINT, signal.SIGKILL])
def test_what_was_written_stays_and_the_rest_follows(
    tmp_path: Path, signal_: signal.Signals
) -> None:
    with started(tmp_path) as process:
        process.send_signal(signal_)
        _, errors = process.communicate(timeout=PATIENCE)
    before = stored(tmp_path)
    assert 0 < before < ROWS
    assert before % 2000 == 0
    if signal_ is signal.SIGINT:
        assert process.returncode == 130
        assert f"stopped after {before:,} new; what was written stays" in errors
    done = subprocess.run(
        [sys.executable, "-m", "cavewatch", *words(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
        timeout=5 * PATIENCE,
    )
    assert f"{ROWS - before:,} new, {before:,} there already, 0 refused" in done.stdout
    with closing(sqlite3.connect(tmp_path / "dairy.sqlite")) as connection:
        [(n,)] = connection.execute("SELECT sum(n) FROM hour").fetchall()
    assert n == ROWS
