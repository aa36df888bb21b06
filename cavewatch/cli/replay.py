"""`cavewatch replay`: the dashboard on a log file, at the log's own time."""

import json
from collections.abc import Iterable
from pathlib import Path

import click

from cavewatch import clock
from cavewatch.cli import report as reports
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.live import words_with
from cavewatch.cli.recorded import Recorded
from cavewatch.cli.rehearsal import Rehearsal, rehearse
from cavewatch.config import Config
from cavewatch.core.alarms.table import State
from cavewatch.core.journal import Act, Entry
from cavewatch.core.text import clean
from cavewatch.recorder import Recorder
from cavewatch.store import Store
from cavewatch.units import Display
from sensors.log import LogFile
from sensors.pace import LogSource

SPEEDS = (1.0, 10.0, 60.0, 300.0, 900.0, 3600.0, 14400.0)
"""Replayed seconds per second."""
STRIDE = 60.0
"""How far a skip goes before it looks for alarms [s]."""
FAR = 6 * 3600.0
"""How far a skip to a known moment goes before it looks whether it is to stop [s]; a stride
is solved once, so that longer ones are quicker."""

REFRESH = 3600.0
"""A replay follows the temperature at this interval, so that it can run fast [s]."""


@click.command()
@click.argument("log", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--speed", default=900.0, show_default=True, help="Log seconds per second.")
@click.option("--report", is_flag=True, help="Print figures of the whole log, with no screen.")
@click.option("--json", "as_json", is_flag=True, help="The report as JSON.")
@click.option(
    "--what-if",
    multiple=True,
    metavar="KEY=VALUE",
    help="Also report the log with this key of the config changed; may be given several times.",
)
@click.pass_obj
def replay(
    config_path: Path | None,
    log: Path,
    speed: float,
    report: bool,
    as_json: bool,
    what_if: tuple[str, ...],
) -> None:
    """Show the dashboard on a LOG of readings, moving at an adjustable speed.

    Beside week.csv it looks for week.toml (the dairy's config, unless --config
    names one) and week.journal.jsonl (what was done). What is entered during a
    replay is not kept.

    With --report, figures of its channels and alarms are printed instead, beside
    those of a dairy that is set up otherwise: --what-if 'style.gouda=tilsit', say,
    or --what-if 'tuning."lower cave.humidity".on_delay=40 min'.
    """
    if report:
        _report(log, config_path, what_if, as_json)
        return
    if as_json or what_if:
        raise click.UsageError("--json and --what-if belong to --report")
    from cavewatch.cli.dashboard import show  # noqa: PLC0415  a report needs no screen

    found = Replay.opened(log, config_path, speed)
    try:
        show(found.desk)
    finally:
        found.close()


def _report(log: Path, config_path: Path | None, what_if: tuple[str, ...], as_json: bool) -> None:
    """Print the figures of a log."""
    sets = {"as it is": (), "what if": what_if} if what_if else {"as it is": ()}
    dairies = {name: Recorded.opened(log, config_path, changes) for name, changes in sets.items()}
    runs: dict[str, Rehearsal] = {}
    for name, dairy in dairies.items():
        runs[name] = rehearse(dairy.log, dairy.config, dairy.entries)
    first = dairies["as it is"]
    zone, display = clock.zone(first.config.zone), Display(first.config.units)
    if as_json:
        plain = {name: reports.plain(run, display, zone) for name, run in runs.items()}
        click.echo(json.dumps({"changed": list(what_if), **plain}, indent=2))
        return
    title = f"{first.config.name}, {log.name}"
    for line in reports.lines(runs, title, display, zone):
        click.echo(clean(line, 400))
    for change in what_if:
        click.echo(clean(f"what if: {change}", 400))
    for fault in first.log.faults:
        click.echo(clean(fault, 400), err=True)


class Replay:
    """A recorder and a desk on one store in memory; also the handles of the replay."""

    def __init__(
        self, config: Config, log: LogFile, entries: Iterable[Entry], speed: float
    ) -> None:
        """Set up at the log's first moment."""
        self.start, self.end = log.span()
        self._config, self._log = config, log
        self._channels = dict.fromkeys(log.channels, 3 * config.log_every)
        self._clock = clock.ReplayClock(self.start, speed)
        self._clock.running = False
        self._stopped = False
        self._begin(entries)
        self.desk = _ReplayDesk(
            self._store,
            self._clock,
            title=config.name,
            zone=clock.zone(config.zone),
            display=Display(config.units),
            initials=config.initials,
            styles=config.styles,
            places=config.places,
            channels=self._channels,
            notice=lambda: "",
        )
        self.desk.replay = self
        self.step()
        self._clock.running = True

    def _begin(self, entries: Iterable[Entry]) -> None:
        """A store, a source and a recorder that know nothing yet, at the log's first moment."""
        self._clock.set(self.start)
        self._store = store = Store.in_memory()
        for entry in entries:
            store.append(entry.at, entry.written, entry.by, entry.act)
        self._source = LogSource(self._log, self._clock)
        self._source.start()
        self._recorder = Recorder(
            store,
            [self._source],
            self._clock,
            self._config.places,
            self._channels,
            self._config.styles,
            words_with(self._config),
            self._config.tunings,
            commit_every=0.0,
            refresh=REFRESH,
        )

    @classmethod
    def opened(cls, log: Path, config_path: Path | None, speed: float) -> "Replay":
        """The replay of a log with what lies beside it."""
        found = Recorded.opened(log, config_path)
        return cls(found.config, found.log, found.entries, speed)

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
        whole = self.end - self.start
        return 1.0 if whole <= 0 else min((self._clock() - self.start) / whole, 1.0)

    @property
    def finished(self) -> bool:
        """True at the end of the log."""
        return self._clock() >= self.end

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
        running = self._clock.running
        called = self._skip(self.end, STRIDE, until_called=True)
        self._clock.running = running and not called and not self._stopped

    def next_entry(self) -> None:
        """Skip to the next entry of the journal and stop there, or go to the end of the log."""
        now = self._clock()
        later = (entry.at for entry in self._store.entries() if entry.at > now)
        self._skip(min(later, default=self.end), FAR)

    def go_to(self, at: float) -> None:
        """Go to a moment of the log [s since 1970 UTC]; to an earlier one from the start."""
        running = self._clock.running
        if at < self._clock():
            entries = self._store.entries()
            self.close()
            self._begin(entries)
            self.desk.look_through(self._store)
        self._skip(at, FAR)
        self._clock.running = running and not self._stopped

    def stop(self) -> None:
        """End a skip where it has come to."""
        self._stopped = True

    def _skip(self, to: float, stride: float, until_called: bool = False) -> bool:
        """Go on to a moment in strides, or until stopped; True if an alarm called and ended it."""
        self._clock.running = self._stopped = False
        to = min(to, self.end)
        while self._clock() < to and not self._stopped:
            self._clock.set(min(self._clock() + stride, to))
            called = any(t.alarm.state is State.UNACK for t in self._recorder.step())
            if until_called and called:
                return True
        return False

    def close(self) -> None:
        """Let go of the log and of what was kept in memory."""
        self._source.close()
        self._store.close()

    def step(self) -> None:
        """Bring the dairy up to the replay's time, which stops at the log's end."""
        if self._clock() > self.end:
            self._clock.running = False
            self._clock.set(self.end)
        self._recorder.step()


class _ReplayDesk(StoreDesk):
    """A desk whose recorder steps when it is looked at."""

    replay: Replay | None = None

    def look_through(self, store: Store) -> None:
        """Read another store from now on, which begins anew."""
        self._store, self._entries, self._stale = store, [], True

    def entries(self) -> list[Entry]:
        """The journal up to now."""
        now = self.now()
        return [entry for entry in super().entries() if entry.at <= now]

    def append(self, act: Act, at: float, by: str, *, typed: bool = False) -> Entry:
        """Write an entry; it counts when this returns, because nobody else looks for it."""
        entry = super().append(act, at, by, typed=typed)
        if self.replay is not None:
            self.replay.step()
        # A store tells what is new only once, and has told the recorder.
        self._stale = True
        return entry

    def changed(self) -> bool:
        """Move the replay on; True if something is new since the last picture."""
        if self.replay is not None:
            self.replay.step()
        return super().changed()
