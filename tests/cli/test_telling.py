"""A recording dairy tells its makers: real programs, and what is shown where they fail."""

import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from cavewatch.cli.live import Live
from cavewatch.cli.recording import Recording
from cavewatch.config import Config, parse
from cavewatch.recorder import notifier
from cavewatch.store import RecorderLock, StoreFullError

DAIRY = """\
[dairy]
name = "Hill dairy"
zone = "UTC"
[store]
path = "d.sqlite"
[clock]
always_right = true
[[place]]
name = "cave"
kind = "cave"
[[sensor]]
name = "board"
port = "absent"
every = "1 s"
[sensor.fields]
T = "cave.temperature"
[[notice]]
name = "phone"
command = ["sh", "-c", 'printf "%s\\n" "$1" >> said', "-", "{kind}: {what}"]
priorities = ["low", "medium", "high"]
[[notice]]
name = "mail"
command = ["sh", "-c", "test -e up || { echo no network >&2; exit 1; }"]
priorities = ["low", "medium", "high"]
[heartbeat]
file = "alive"
every = "1 s"
"""
MAIL = "notice mail failed"


@pytest.fixture
def config(tmp_path: Path) -> Config:
    return parse(DAIRY, tmp_path / "d.toml")


Begin = Callable[[], Recording]


@pytest.fixture
def begin(config: Config, monkeypatch: pytest.MonkeyPatch) -> Iterator[Begin]:
    """Starts to record, as often as it is asked."""
    monkeypatch.setattr(notifier, "FIRST_WAIT", 0.1)
    begun: list[Recording] = []

    def record() -> Recording:
        begun.append(Recording(config, RecorderLock(config.store_path)))
        return begun[-1]

    yield record
    begun[-1].close()


def until(recording: Recording, reached: Callable[[], bool]) -> None:
    deadline = time.monotonic() + 60.0
    while not reached():
        assert time.monotonic() < deadline, "did not happen in time"
        recording.beat()
        time.sleep(0.05)


def test_alarms_are_told_and_a_notice_that_fails_is_an_alarm_that_the_others_tell(
    begin: Begin, config: Config, tmp_path: Path
) -> None:
    recording = begin()
    with closing(Live.of(config).store) as viewer:
        until(recording, lambda: MAIL in viewer.alarms())
        assert viewer.meta("unsent") == (
            "notice 'mail' is not sent: sh ended with status 1: no network"
        )

        def said() -> list[str]:
            return (tmp_path / "said").read_text().splitlines()

        until(recording, lambda: len(said()) == 2)
        assert said()[0].startswith("alarm: the temperature at cave ")
        assert said()[1].startswith("alarm: notice 'mail' could not be sent: sh ended")
        assert (tmp_path / "alive").exists()
        # A restart tells nothing again.
        recording.close()
        recording = begin()
        until(recording, lambda: bool(viewer.meta("unsent")))
        assert viewer.alarms()[MAIL].abnormal
        (tmp_path / "up").touch()
        until(recording, lambda: viewer.meta("unsent") == "")
        until(recording, lambda: not viewer.alarms()[MAIL].abnormal)
        assert len(said()) == 2


def test_viewers_see_that_a_notice_is_not_sent(begin: Begin, config: Config) -> None:
    recording = begin()
    lock = RecorderLock(config.store_path)
    assert lock.acquire()
    live = Live.of(config)
    try:
        until(recording, lambda: "notice 'mail' is not sent" in live.desk().notice())
    finally:
        live.store.close()
        lock.release()


def test_a_sign_of_life_is_given_while_readings_are_kept_and_not_while_they_wait_in_memory(
    begin: Begin, tmp_path: Path
) -> None:
    recording, alive = begin(), tmp_path / "alive"
    until(recording, alive.exists)
    first = alive.stat().st_mtime_ns
    until(recording, lambda: alive.stat().st_mtime_ns > first)
    holding = recording._kept.holding
    holding.trouble = StoreFullError("the disk is full")
    recording._afterwards()
    last, wait = alive.stat().st_mtime_ns, time.monotonic() + 1.5
    while time.monotonic() < wait:
        recording._afterwards()
        time.sleep(0.05)
    assert alive.stat().st_mtime_ns == last
    until(recording, lambda: alive.stat().st_mtime_ns > last)
