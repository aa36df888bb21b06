"""`cavewatch replay`: the dashboard on a log file, at the log's own time."""

from dataclasses import replace
from pathlib import Path

import click

from cavewatch import clock
from cavewatch.cli.dashboard import show
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.live import show_with
from cavewatch.config import LOG_EVERY, Config, load
from cavewatch.core.alarms.table import State
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.sensor import LogSettings
from cavewatch.recorder import Recorder
from cavewatch.store import Store
from cavewatch.store.journal_file import read
from cavewatch.styles import load as book
from cavewatch.units import Display, System
from sensors.log import LogFile
from sensors.pace import LogSource

SPEEDS = (1.0, 10.0, 60.0, 300.0, 900.0, 3600.0, 14400.0)
"""Replayed seconds per second."""
STRIDE = 60.0
"""How far a skip goes before it looks for alarms [s]."""

REFRESH = 4 * 3600.0
"""A replay follows the temperature at this interval, so that it can run fast [s]."""


@click.command()
@click.argument("log", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--speed", default=900.0, show_default=True, help="Log seconds per second.")
@click.pass_obj
def replay(config_path: Path | None, log: Path, speed: float) -> None:
    """Show the dashboard on a LOG of readings, moving at an adjustable speed.

    Beside week.csv it looks for week.toml (the dairy's config, unless --config
    names one) and week.journal.jsonl (what was done). What is entered during a
    replay is not kept.
    """
    found = Replay.opened(log, config_path, speed)
    try:
        show(found.desk)
    finally:
        found.close()


class Replay:
    """A recorder and a desk on one store in memory; also the handles of the replay."""

    def __init__(self, config: Config, log: LogFile, journal: Path, speed: float) -> None:
        """Set up at the log's first moment."""
        self._start, self._end = log.span()
        self._clock = clock.ReplayClock(self._start, speed)
        self._clock.running = False
        self._clock.set(self._start)
        self._store = store = Store.in_memory()
        for entry in read(journal) if journal.exists() else []:
            store.append(entry.at, entry.written, entry.by, entry.act)
        channels = dict.fromkeys(log.channels, 3 * config.log_every)
        self._source = LogSource(log, self._clock)
        self._source.start()
        display = Display(config.units)
        self._recorder = Recorder(
            store,
            [self._source],
            self._clock,
            config.places,
            channels,
            config.styles,
            show_with(display),
            commit_every=0.0,
            refresh=REFRESH,
        )
        self.desk = _ReplayDesk(
            store,
            self._clock,
            title=config.name,
            zone=clock.zone(config.zone),
            display=display,
            initials=config.initials,
            styles=config.styles,
            places=config.places,
            channels=channels,
            notice=lambda: "replay: nothing entered is kept",
        )
        self.desk.replay = self
        self.step()
        self._clock.running = True

    @classmethod
    def opened(cls, log: Path, config_path: Path | None, speed: float) -> "Replay":
        """The replay of a log with what lies beside it."""
        beside = log.with_suffix(".toml")
        if config_path is None and beside.exists():
            config_path = beside
        config = _bare(log) if config_path is None else load(config_path)
        file = LogFile(log, config.log or LogSettings(fields={}))
        known = {place.name for place in config.places}
        unknown = dict.fromkeys(c.place for c in file.channels if c.place not in known)
        more = tuple(Place(name, PlaceKind.CAVE, {}) for name in unknown)
        config = replace(config, places=config.places + more)
        return cls(config, file, log.with_name(f"{log.stem}.journal.jsonl"), speed)

    @property
    def speed(self) -> float:
        """Replayed seconds per second."""
        return self._clock.speed

    @property
    def running(self) -> bool:
        """False while paused."""
        return self._clock.running

    @property
    def progress(self) -> float:
        """How much of the log has been replayed, 0 to 1."""
        whole = self._end - self._start
        return 1.0 if whole <= 0 else min((self._clock() - self._start) / whole, 1.0)

    @property
    def finished(self) -> bool:
        """True at the end of the log."""
        return self._clock() >= self._end

    def pause(self) -> None:
        """Stop, or go on if stopped."""
        self._clock.running = not self._clock.running

    def faster(self) -> None:
        """To the next higher speed, if there is one."""
        self._clock.speed = min((s for s in SPEEDS if s > self.speed), default=self.speed)

    def slower(self) -> None:
        """To the next lower speed, if there is one."""
        self._clock.speed = max((s for s in SPEEDS if s < self.speed), default=self.speed)

    def next_alarm(self) -> None:
        """Skip to the next alarm that calls and stop there, or go to the end of the log."""
        was_running, self._clock.running = self._clock.running, False
        called = False
        while not called and not self.finished:
            self._clock.set(min(self._clock() + STRIDE, self._end))
            called = any(t.alarm.state is State.UNACK for t in self._recorder.step())
        self._clock.running = was_running and not called

    def close(self) -> None:
        """Let go of the log and of what was kept in memory."""
        self._source.close()
        self._store.close()

    def go_to(self, at: float) -> None:
        """Move on to a later moment of the log [s since 1970 UTC]."""
        self._clock.set(at)
        self.step()

    def step(self) -> None:
        """Bring the dairy up to the replay's time, which stops at the log's end."""
        if self._clock() > self._end:
            self._clock.running = False
            self._clock.set(self._end)
        self._recorder.step()


def _bare(log: Path) -> Config:
    """The config of a log that has none beside it: its places are what its titles name."""
    return Config(
        name=log.stem,
        zone="UTC",
        units=System.METRIC,
        initials="",
        store_path=log,
        commit_every=10.0,
        places=(),
        sensors=(),
        log=None,
        log_every=LOG_EVERY,
        styles=book(),
        path=log,
    )


class _ReplayDesk(StoreDesk):
    """A desk whose recorder steps when it is looked at."""

    replay: Replay | None = None  # type: ignore[assignment]

    def changed(self) -> bool:
        """Move the replay on; True if something is new since the last picture."""
        if self.replay is not None:
            self.replay.step()
        return super().changed()
