"""`cavewatch record`: the headless process that owns the ports and the store's readings."""

import os
import signal
import threading
from pathlib import Path

import click

from cavewatch.cli.live import config_of
from cavewatch.cli.recording import Recording
from cavewatch.cli.systemd import ALIVE, READY, STOPPING, notify
from cavewatch.config import Config
from cavewatch.core.errors import CavewatchError
from cavewatch.store import RecorderLock

TICK = 1.0
"""How often the recorder looks [s]."""


@click.command()
@click.option("--stop", is_flag=True, help="End the recorder that is running for this config.")
@click.pass_obj
def record(config_path: Path | None, stop: bool) -> None:
    """Read the sensors, keep the record, raise alarms, until stopped.

    Runs without a screen; a dashboard starts one by itself if none is running.
    """
    config = config_of(config_path)
    lock = RecorderLock(config.store_path)
    if stop:
        _stop(lock)
        return
    if not lock.acquire():
        raise CavewatchError(
            f"a recorder is running for {config.store_path} already (process {lock.holder()})"
        )
    ended = threading.Event()
    for name in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        signal.signal(name, lambda *_: ended.set())
    try:
        run(config, ended, lock)
    finally:
        lock.release()


def run(config: Config, ended: threading.Event, lock: RecorderLock | None = None) -> None:
    """Record until the event is set; without a lock nobody is told what the store cannot take."""
    recording = Recording(config, lock or RecorderLock(config.store_path))
    told = READY
    try:
        while not ended.wait(TICK):
            recording.beat()
            # From this thread and nowhere else: a service that keeps nothing must be restarted.
            notify(told)
            told = ALIVE
    finally:
        notify(STOPPING)
        recording.close()


def _stop(lock: RecorderLock) -> None:
    holder = lock.holder()
    if not holder:
        raise CavewatchError("no recorder is running for this config")
    try:
        os.kill(holder, signal.SIGTERM)
    except OSError as fault:
        raise CavewatchError(
            f"the recorder (process {holder}) cannot be ended from here ({fault.strerror}); a "
            "service ends with 'sudo systemctl stop cavewatch'"
        ) from fault
    click.echo(f"asked the recorder (process {holder}) to end")
