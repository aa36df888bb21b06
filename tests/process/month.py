"""Records an invented dairy through many days in minutes; prints its memory after each day.

    python month.py FOLDER DAYS STEP

The clock is invented too: a reading a minute on four channels, a step each STEP minutes, a make of
two wheels each day that is salted on the face, turned, lifted, ripened for a week and sold.
"""

import sys
from contextlib import closing
from pathlib import Path

from cavewatch.cli.live import words_with
from cavewatch.config import parse
from cavewatch.core import journal
from cavewatch.core.countdown import Action
from cavewatch.core.journal import Act
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.style import Method
from cavewatch.recorder import Recorder
from cavewatch.store import Store

BEGIN = 1_772_431_200.0
MINUTE, HOUR, DAY = 60.0, 3600.0, 86400.0
RIPENED = 7
CONFIG = """
[dairy]
name = "Test dairy (invented)"
zone = "UTC"
[store]
path = "month.sqlite"
[[place]]
name = "tub"
kind = "tub"
[place.brine]
strength = "21 %"
volume = "300 L"
temperature = 12
[[place]]
name = "cave"
kind = "cave"
temperature = [10, 14]
humidity = [85, 95]
[[place]]
name = "cellar"
kind = "cave"
"""
CHANNELS = [Channel(place, quantity) for place in ("cave", "cellar") for quantity in Quantity]


class Board:
    """Gives what four probes said since it was last asked."""

    def __init__(self) -> None:
        self.until = BEGIN
        self.now = BEGIN

    def take(self) -> list[Reading]:
        found = []
        while self.until < self.now:
            self.until += MINUTE
            number = int((self.until - BEGIN) / MINUTE)
            swing = abs(number % 40 - 20) / 20  # a compressor of forty minutes
            high = number % 1440 < 90  # too warm and too damp each morning
            for channel in CHANNELS:
                warm = channel.quantity is Quantity.TEMPERATURE
                value = (11.5 + swing + 4.0 * high) if warm else (88.0 + 2.0 * swing + 9.0 * high)
                found.append(Reading(channel, self.until, round(value, 2)))
        return found


def work(store: Store, recorder: Recorder, now: float) -> list[Act]:
    """What the maker does at this hour."""
    hour = int((now - BEGIN) / HOUR)
    acts: list[Act] = []
    if hour % 24 == 1:
        first = store.next_wheel()
        pair = (first, first + 1)
        acts += [journal.Made(pair, "gouda", Method.BRINE, 2500.0 + first, "tub")]
        acts += [journal.Salted(pair, 25.0)]
        old = tuple(n for n in (first - 2 * RIPENED - 6, first - 2 * RIPENED - 5) if n > 0)
        acts += [journal.Ended(old, journal.Ending.SOLD)] if old else []
        acts += [journal.BrineMeasured("tub", 20.5)] if hour % 168 == 1 else []
    if hour % 12 == 6:
        calling = [key for key, alarm in recorder.alarms.items() if alarm.state == "UNACK"]
        acts += [journal.Acknowledged(key) for key in calling]
    for countdown in store.countdowns():
        step = countdown.steps[0] if countdown.steps else None
        if step is not None and step.at.expected <= now:
            wheels = (countdown.wheel,)
            if step.action is Action.TURN:
                acts.append(journal.Turned(wheels))
            elif step.action is Action.LIFT:
                acts.append(journal.Lifted(wheels, "cave"))
            elif step.grams is not None:
                acts.append(journal.Salted(wheels, step.grams.expected))
    return acts


def resident() -> int:
    """Memory of this process [kB]."""
    said = Path("/proc/self/status").read_text().split()
    return int(said[said.index("VmRSS:") + 1])


def main(folder: Path, days: int, every: float) -> None:
    config = parse(CONFIG, folder / "my.toml")
    board = Board()
    with closing(Store.open(config.store_path)) as store:
        recorder = Recorder(
            store,
            [board],
            lambda: board.now,
            config.places,
            dict.fromkeys(CHANNELS, HOUR),
            config.styles,
            words_with(config),
            config.tunings,
            every,
        )
        for day in range(days):
            for number in range(int(DAY / every)):
                board.now += every
                recorder.step()
                if number * every % HOUR == 0:
                    for act in work(store, recorder, board.now):
                        store.append(board.now, board.now, "MK", act)
            told = (len(store.entries()), len(store.transitions(0.0)), len(store.countdowns()))
            print(day + 1, resident(), *told, flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]) * MINUTE)
