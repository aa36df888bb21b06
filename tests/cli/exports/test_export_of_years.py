"""An export of five years: within the memory that it is allowed, and stopped at any moment."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.journal import Noted
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.store import Store

ALLOWED = 100.0
"""Memory of an export, the interpreter's included [MB]."""
DAY = 86_400
YEARS = 5
SELF_MEASURED = """
import sys
from cavewatch.__main__ import main
try:
    main()
finally:
    with open("/proc/self/status") as file:
        [line] = [line for line in file if line.startswith("VmHWM:")]
    print(int(line.split()[1]) / 1024, file=sys.stderr)
"""
"""Prints the most memory that it had; what getrusage tells includes that of the test itself."""


def readings(days: int, step: int) -> Iterator[Reading]:
    for at in range(0, days * DAY, step):
        for place in ("cave", "tub"):
            for quantity in Quantity:
                yield Reading(Channel(place, quantity), at + 1.5e9, 12.0 + at % 977 / 1000)


def transitions(count: int) -> Iterator[Transition]:
    told = Explanation("cave is too warm: 15.2 °C", "x" * 150, "y" * 150, "z" * 150, 4.0)
    for number in range(count):
        for state in (State.UNACK, State.NORM):
            begun = 1.5e9 + number * YEARS * 365.0 * DAY / count
            trigger = Trigger.ABNORMAL if state is State.UNACK else Trigger.NORMAL
            alarm = Alarm("cave.temperature high", state, Priority.LOW, begun, told, place="cave")
            at = begun if state is State.UNACK else begun + 600
            yield Transition(at, State.NORM, trigger, alarm)


def filled(path: Path, days: int, step: int, entries: int = 0) -> None:
    store = Store.open(path)
    batch: list[Reading] = []
    for reading in readings(days, step):
        batch.append(reading)
        if len(batch) == 50_000:
            store.add_readings(batch)
            batch = []
    store.add_readings(batch)
    store.add_transitions(transitions(entries))
    for number in range(entries):
        store.append(1.5e9 + number, 1.5e9 + number, "MK", Noted("a note of some length " * 5))
    store.close()


@pytest.fixture(scope="module")
def years(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store of five years."""
    path = tmp_path_factory.mktemp("years") / "dairy.sqlite"
    filled(path, YEARS * 365, 300, entries=5000)
    return path


@pytest.mark.long
@pytest.mark.parametrize(
    "words",
    [
        ("readings",),
        ("readings", "--every", "minute"),
        ("journal",),
        ("alarms",),
        ("week", "--from", "2020-01-06"),
    ],
    ids=" ".join,
)
def test_five_years_stay_within_the_memory_allowed(
    years: Path, config: Path, tmp_path: Path, words: tuple[str, ...]
) -> None:
    text = config.read_text("utf-8").replace('"dairy.sqlite"', f'"{years}"')
    config.write_text(text, "utf-8")
    out = tmp_path / "out.csv"
    run = subprocess.run(
        [sys.executable, "-c", SELF_MEASURED, "--config", config, "export", *words, "--out", out],
        check=True,
        capture_output=True,
        text=True,
    )
    print(words, run.stdout.strip(), run.stderr.strip(), "MB")
    assert float(run.stderr) < ALLOWED


def test_ctrl_c_ends_a_real_export_and_leaves_nothing(config: Path, tmp_path: Path) -> None:
    filled(config.with_name("dairy.sqlite"), 120, 60)
    out = tmp_path / "out.csv"
    partial = tmp_path / "out.csv.part"
    words = [sys.executable, "-m", "cavewatch", "--config", config, "export", "readings"]
    run = subprocess.Popen(
        [*words, "--every", "minute", "--out", out],
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ,
    )
    assert run.stderr is not None
    with run.stderr:
        while not partial.exists() or not partial.stat().st_size:
            assert run.poll() is None
        run.send_signal(signal.SIGINT)
        said = run.stderr.read()
    assert (run.wait(), said) == (1, f"Error: stopped: nothing is left of {out}\n")
    assert not out.exists()
    assert not partial.exists()
