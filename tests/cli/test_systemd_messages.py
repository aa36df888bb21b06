"""What the recorder tells systemd, over real sockets."""

import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from cavewatch.cli import record
from cavewatch.cli.systemd import ALIVE, READY, STOPPING, notify
from cavewatch.config import load
from cavewatch.store import RecorderLock, Store

DAIRY = (
    '[dairy]\nname = "Test"\nzone = "UTC"\n[store]\npath = "d.sqlite"\n'
    '[[place]]\nname = "cave"\nkind = "cave"\n'
)
Heard = Callable[[], str]


@pytest.fixture(params=["path", "abstract"])
def heard(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Heard]:
    """Listens as systemd does; each call waits for the next message."""
    address = str(tmp_path / "notify")
    bound = address
    if request.param == "abstract":
        address, bound = f"@{address}", f"\0{address}"
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as inbox:
        inbox.bind(bound)
        inbox.settimeout(60)
        monkeypatch.setenv("NOTIFY_SOCKET", address)
        yield lambda: inbox.recv(1000).decode()


def test_a_message_arrives_as_it_is(heard: Heard) -> None:
    notify(READY)
    assert heard() == "READY=1"


@pytest.mark.parametrize("address", ["", "/nowhere/at/all", "@nobody listens", "vsock:1:2"])
def test_where_nobody_listens_nothing_happens(
    monkeypatch: pytest.MonkeyPatch, address: str
) -> None:
    monkeypatch.setenv("NOTIFY_SOCKET", address)
    notify(ALIVE)


def test_a_recorder_is_ready_once_its_store_is_there_and_says_when_it_ends(
    heard: Heard, tmp_path: Path
) -> None:
    (tmp_path / "d.toml").write_text(DAIRY)
    command = [sys.executable, "-m", "cavewatch", "--config", str(tmp_path / "d.toml"), "record"]
    with subprocess.Popen(command) as recorder:
        try:
            assert heard() == READY
            with closing(Store.as_it_is(tmp_path / "d.sqlite")):
                assert RecorderLock(tmp_path / "d.sqlite").holder() == recorder.pid
            assert heard() == ALIVE
            recorder.send_signal(signal.SIGTERM)
            assert STOPPING in (heard() for _ in range(10))
            assert recorder.wait(60) == 0
        finally:
            recorder.kill()


def test_a_recorder_that_keeps_nothing_does_not_say_that_it_is_alive(
    heard: Heard, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Failing:
        """Goes well twice."""

        def __init__(self, *_: Any) -> None:
            self.left = 2

        def beat(self) -> None:
            if not self.left:
                raise OSError("the card is gone")
            self.left -= 1

        def close(self) -> None:
            pass

    (tmp_path / "d.toml").write_text(DAIRY)
    monkeypatch.setattr(record, "Recording", Failing)
    monkeypatch.setattr(record, "TICK", 0.0)
    with pytest.raises(OSError, match="the card is gone"):
        record.run(load(tmp_path / "d.toml"), threading.Event())
    assert [heard(), heard(), heard()] == [READY, ALIVE, STOPPING]
