"""The whole program on a real pseudo-terminal: a recorder process, viewers, a pulled plug."""

import contextlib
import fcntl
import json
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

BOARD = Path(__file__).with_name("pty_board.py")
CONFIG = """
[dairy]
name = "Test dairy (invented)"
zone = "UTC"
initials = "TT"
[store]
path = "dairy.sqlite"
commit_every = "1 s"
[[place]]
name = "cave"
kind = "cave"
temperature = [10, 14]
humidity = [85, 95]
[[place]]
name = "tub"
kind = "tub"
[place.brine]
strength = "20 %"
temperature = 12
[[sensor]]
name = "board"
port = "{port}"
every = "1 s"
[sensor.fields]
T = "cave.temperature"
H = "cave.humidity"
"""


def until(reached: Callable[[], bool], within: float = 60.0) -> None:
    deadline = time.monotonic() + within
    while not reached():
        assert time.monotonic() < deadline, "did not happen in time"
        time.sleep(0.05)


@pytest.fixture
def config(tmp_path: Path) -> Path:
    path = tmp_path / "my.toml"
    path.write_text(CONFIG.format(port=tmp_path / "ttyBOARD"))
    return path


@pytest.fixture
def call(config: Path) -> Callable[..., subprocess.CompletedProcess[str]]:
    def run(*words: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "cavewatch", "--config", str(config), *words]
        return subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)

    return run


@pytest.fixture
def board(tmp_path: Path) -> Iterator[Callable[[bytes], subprocess.Popen[bytes]]]:
    boards: list[subprocess.Popen[bytes]] = []

    def plug_in(line: bytes) -> subprocess.Popen[bytes]:
        command = [sys.executable, str(BOARD), str(tmp_path / "ttyBOARD"), "0", line.hex()]
        boards.append(subprocess.Popen(command))
        return boards[-1]

    yield plug_in
    for each in boards:
        each.kill()
        each.wait()


@pytest.fixture
def recorder(config: Path) -> Iterator[Callable[[], subprocess.Popen[bytes]]]:
    started: list[subprocess.Popen[bytes]] = []

    def start() -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", "cavewatch", "--config", str(config), "record"]
        started.append(subprocess.Popen(command))
        return started[-1]

    yield start
    for process in started:
        process.kill()
        process.wait()


def temperature(call: Callable[..., subprocess.CompletedProcess[str]]) -> dict[str, Any]:
    """As `status` tells it; nothing before there is a store."""
    nothing: dict[str, Any] = {"value": None, "silent": True}
    places = json.loads(call("status", "--json").stdout)["places"]
    return next((place["channels"][0] for place in places if place["name"] == "cave"), nothing)


def test_a_sensor_is_recorded_missed_when_pulled_and_found_again(call, board, recorder) -> None:  # type: ignore[no-untyped-def]
    plugged = board(b"T=12.3 H=88.1\n")
    recording = recorder()
    until(lambda: temperature(call)["value"] == 12.3)
    assert not temperature(call)["silent"]
    plugged.kill()
    until(lambda: "the temperature at cave is unwatched: nothing comes" in call("status").stdout)
    until(lambda: temperature(call)["silent"])
    assert recording.poll() is None
    board(b"T=11.5 H=90.0\n")
    until(lambda: temperature(call)["value"] == 11.5)
    recording.send_signal(signal.SIGTERM)
    assert recording.wait(20) == 0


def test_entries_made_beside_the_recorder_get_their_countdown_and_keep_it(  # type: ignore[no-untyped-def]
    call, recorder
) -> None:
    made = call("wheel", "new", "gouda", "--weight", "5 lb", "--place", "tub", "--count", "2")
    assert made.returncode == 0, made.stderr
    assert "entry 1: made, wheels 1, 2" in made.stdout

    def tasks() -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = json.loads(call("status", "--json").stdout)["tasks"]
        return found

    recording = recorder()
    until(lambda: len(tasks()) == 4)
    assert [task["action"] for task in tasks()] == ["salt face", "turn", "salt face", "lift"]
    asked = f"{tasks()[0]['grams']['expected']:.1f} g"
    assert call("wheel", "salt", "1-2", "--grams", asked).returncode == 0
    until(lambda: [t["action"] for t in tasks()] == ["turn", "salt face", "lift"])
    before = tasks()
    recording.send_signal(signal.SIGKILL)
    recording.wait()
    assert recorder().poll() is None
    time.sleep(2.5)  # two looks of the recorder; nothing may have moved
    assert tasks() == before


def test_a_second_recorder_is_refused_in_one_sentence(call, recorder) -> None:  # type: ignore[no-untyped-def]
    recorder()
    until(lambda: "recorder is process" in call("check").stdout)
    second = call("record")
    assert second.returncode == 1
    assert "a recorder is running for" in second.stderr
    assert "Traceback" not in second.stderr
    assert "asked the recorder" in call("record", "--stop").stdout
    until(lambda: "no recorder is running" in call("check").stdout)


def test_the_dashboard_starts_a_recorder_that_outlives_it(call, board, config: Path) -> None:  # type: ignore[no-untyped-def]
    board(b'{"T": 12.5, "H": 91}\n')
    child, terminal = pty.fork()
    if child == 0:
        os.environ["TERM"] = "xterm-256color"
        os.execv(sys.executable, [sys.executable, "-m", "cavewatch", "--config", str(config)])
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    shown = b""

    def see(words: bytes) -> bool:
        nonlocal shown
        with contextlib.suppress(OSError):  # what a terminal says once nobody has it open
            while select.select([terminal], [], [], 0)[0]:
                shown += os.read(terminal, 65536)
        return words in shown

    try:
        until(lambda: see(b"12.5"))
        os.kill(child, signal.SIGHUP)  # the SSH session ends

        def ended() -> bool:
            see(b"")
            return os.waitpid(child, os.WNOHANG)[0] == child

        until(ended)
        assert "recorder is process" in call("check").stdout
    finally:
        os.close(terminal)
        call("record", "--stop")
    until(lambda: "no recorder is running" in call("check").stdout)
