"""`cavewatch record`: the headless process that owns the ports and the store's readings."""

import os
import signal
import threading
from pathlib import Path

import click

from cavewatch import clock
from cavewatch.cli.live import SENSOR, config_of, words_with
from cavewatch.cli.sources import source_of
from cavewatch.config import Config
from cavewatch.core.errors import CavewatchError
from cavewatch.recorder import Recorder
from cavewatch.store import DamagedStoreError, RecorderLock, Store, set_aside

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
        run(config, ended)
    finally:
        lock.release()


def run(config: Config, ended: threading.Event) -> None:
    """Record until the event is set."""
    store = _opened(config.store_path)
    sources = [source_of(settings, clock.now) for settings in config.sensors]
    for source in sources:
        source.start()
    try:
        recorder = Recorder(
            store,
            sources,
            clock.now,
            config.places,
            config.channels,
            config.styles,
            words_with(config),
            config.tunings,
            config.commit_every,
        )
        said: dict[str, str] = {}
        while not ended.wait(TICK):
            recorder.step()
            for source in sources:
                condition = source.condition()
                text = "" if condition.connected else f"{source.name}: {condition.text}"
                if said.get(source.name) != text:
                    store.put_meta(SENSOR + source.name, text)
                    said[source.name] = text
        recorder.flush()
    finally:
        for source in sources:
            source.close()
        store.close()


def _opened(path: Path) -> Store:
    """The store; a damaged one is set aside, and a new one begun."""
    try:
        return Store.open(path)
    except DamagedStoreError as fault:
        aside = set_aside(path)
        click.echo(f"{fault}; it was set aside as {aside} and a new one begun", err=True)
        return Store.open(path)


def _stop(lock: RecorderLock) -> None:
    holder = lock.holder()
    if not holder:
        raise CavewatchError("no recorder is running for this config")
    os.kill(holder, signal.SIGTERM)
    click.echo(f"asked the recorder (process {holder}) to end")
