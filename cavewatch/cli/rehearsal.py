"""A log run through the recorder without a screen, as fast as it goes."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain

from cavewatch.cli.live import words_with
from cavewatch.config import Config
from cavewatch.core.alarms.alarm import Transition
from cavewatch.core.alarms.exposure import Exposure, exposure
from cavewatch.core.alarms.figures import (
    AlarmFigures,
    ForecastFigures,
    alarm_figures,
    forecast_figures,
)
from cavewatch.core.alarms.forecast import HORIZON
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Entry
from cavewatch.core.ranges import Range
from cavewatch.core.reading import Channel, Reading
from cavewatch.recorder import Recorder
from cavewatch.recorder.memory import Memory
from sensors.faults import SensorError
from sensors.log import LogFile

STRIDE = 600.0
"""How much of the log the recorder is given at once [s]."""
FORETOLD = 2 * HORIZON
"""A limit's alarm so long after it was foretold is a hit. Judgement [s]."""
REFRESH = 4 * 3600.0
"""Countdowns follow the temperature at this interval [s]."""


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """What a log did in one dairy."""

    since: float
    """The first reading [s since 1970 UTC]."""
    until: float
    """The last one [s since 1970 UTC]."""
    exposures: tuple[Exposure, ...]
    """In the order of the log's channels."""
    transitions: tuple[Transition, ...]
    """Everything that the alarms did."""
    alarms: AlarmFigures
    """Their figures."""
    forecasts: ForecastFigures
    """How good the predicted crossings were."""


def rehearse(log: LogFile, config: Config, entries: Iterable[Entry]) -> Rehearsal:
    """Run a log, with what the journal says was done, through the recorder.

    Raises:
        SensorError: for a log without readings.
    """
    tape, memory, ranges = Tape(log), Memory(entries), _Ranges()
    since = tape()
    holds = 3 * config.log_every
    recorder = Recorder(
        memory,
        [tape],
        tape,
        config.places,
        dict.fromkeys(log.channels, holds),
        config.styles,
        words_with(config),
        config.tunings,
        commit_every=0.0,
        refresh=REFRESH,
        drawn=ranges.note,
    )
    recorder.step()
    while tape.forward(STRIDE):
        recorder.step()
    until = tape()
    return Rehearsal(
        since,
        until,
        tuple(
            exposure(channel, curve, ranges.of.get(channel, ()), since, until, holds)
            for channel in log.channels
            if (curve := memory.curves.get(channel)) is not None
        ),
        tuple(memory.transitions),
        alarm_figures(memory.transitions, since, until),
        forecast_figures(memory.transitions, since, until, FORETOLD),
    )


class Tape:
    """A log as a source of readings, and the clock that goes with it."""

    def __init__(self, log: LogFile) -> None:
        """Stand at the first reading."""
        readings = log.readings()
        first = next(readings, None)
        if first is None:
            raise SensorError(f"{log.path.name} holds no reading")
        self._at = first.at
        self._rest = chain((first,), readings)
        self._next: Reading | None = next(self._rest)
        self._taken: list[Reading] = []

    def __call__(self) -> float:
        """The moment that it stands at [s since 1970 UTC]."""
        return self._at

    def forward(self, seconds: float) -> bool:
        """Go on by this, but not beyond the last reading; False if it stood there."""
        goal, upcoming, rest, taken = self._at + seconds, self._next, self._rest, self._taken
        if upcoming is None:
            return False
        last = self._at
        while upcoming is not None and upcoming.at <= goal:
            taken.append(upcoming)
            last = upcoming.at
            upcoming = next(rest, None)
        self._next = upcoming
        self._at = last if upcoming is None else goal
        return True

    def take(self) -> list[Reading]:
        """The readings on the way since the last call."""
        taken, self._taken = self._taken, []
        return taken


class _Ranges:
    """Which range each channel had, and from when on."""

    def __init__(self) -> None:
        self.of: dict[Channel, list[tuple[float, Range]]] = {}

    def note(self, dairy: Dairy) -> None:
        """Look at a new picture."""
        for place in dairy.places:
            for view in place.channels:
                known = self.of.setdefault(view.channel, [])
                if not known or known[-1][1] != view.range:
                    known.append((dairy.at, view.range))
