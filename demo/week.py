"""The invented week of readings and entries: writes week.csv and week.journal.jsonl.

Part of the demonstration; nothing here was measured. The same bytes come out
on every machine: python's `random.random` is the only chance, and values are
rounded far more coarsely than floating point could differ.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from cavewatch.store import journal_file
from demo.days import END, START, march
from demo.entries import entries
from demo.rooms import Air, Build, Cave
from demo.weather import MakeRoom, outdoors

HERE = Path(__file__).parent
ROW = 30.0
"""Between two readings [s]."""
TITLES = (
    "upper cave.temperature",
    "upper cave.humidity",
    "lower cave.temperature",
    "lower cave.humidity",
    "tub.temperature",
    "tray.temperature",
    "tray.humidity",
)

UPPER = Build(
    set_point=11.6,
    ground=14.5,
    warming=0.10,
    outdoors=0.3,
    cooling=8.0,
    coil=4.0,
    leak=0.50,
    floor=(0.0, 0.0),
    mist=(87.4, 89.4),
)
"""The drier cave, with a humidifier."""
LOWER = Build(
    set_point=12.5,
    ground=17.5,
    warming=0.16,
    outdoors=0.35,
    cooling=8.0,
    coil=7.0,
    leak=0.12,
    floor=(0.7, 93.4),
    mist=(0.0, 0.0),
)
"""The wet cave for washed rinds; its floor is kept wet."""

DRY = (march(5, 14, 30), march(6, 7, 10))
"""Thursday: the humidifier runs dry and is filled again on Friday morning."""
ICED = (march(6, 20, 30), march(7, 6, 50))
"""Friday night: mild outside, and the lower cave's iced coil hardly cools."""
UNPLUGGED = (march(4, 10, 30), march(4, 11, 30))
"""Wednesday: the tub's probe is out while the brine is skimmed and salted up."""
ROUNDS = ((7, 0), (12, 30), (18, 10))
"""When somebody goes through both caves [h, min]; on Sunday only morning and evening."""
DOOR_OPEN = 300.0
"""How long a cave's door then stands open [s]."""
SUNDAY = 6


Stretch = tuple[float, float]
"""Beginning and end [s since 1970 UTC]."""


@dataclass(frozen=True)
class Story:
    """What befalls a week, and the seed of its chance; None for what does not happen."""

    seed: int
    dry: Stretch | None = None
    """The upper cave's humidifier has no water."""
    iced: Stretch | None = None
    """The lower cave's coil hardly cools."""
    unplugged: Stretch | None = None
    """The tub's probe is out."""


PLANTED = Story(20260302, DRY, ICED, UNPLUGGED)
"""The demonstration's week."""
NORMAL = Story(20260309)
"""A week in which nothing goes wrong; other weather of chance, doors at other times."""


class Probe:
    """A probe: slower than what it measures, a little noisy, of fixed resolution."""

    def __init__(self, chance: random.Random, first: float, noise: float, places: int) -> None:
        self._chance, self._noise, self._places = chance, noise, places
        self._felt, self._wander = first, 0.0

    def read(self, true: float) -> str:
        """What it shows, after one more row of time."""
        self._felt += 0.3 * (true - self._felt)
        self._wander += 0.02 * (self._jitter() * 4.0 - self._wander)
        return f"{self._felt + self._noise * (self._jitter() + self._wander):.{self._places}f}"

    def _jitter(self) -> float:
        """Chance about 0 with spread 1: a sum of even ones, the same on every machine."""
        return sum(self._chance.random() for _ in range(12)) - 6.0


def doors(chance: random.Random) -> list[float]:
    """When somebody opens the caves' doors [s since 1970 UTC]."""
    opened = []
    for day in range(2, 9):
        for hour, minute in ROUNDS if day - 2 < SUNDAY else ROUNDS[::2]:
            opened.append(march(day, hour, minute) + 60.0 * int(20.0 * chance.random()))
    return opened


def making(at: float) -> bool:
    """Whether cheese is being made: Monday to Saturday, from half past seven to two."""
    day, second = divmod(at - march(2, 0), 86400.0)
    return day < SUNDAY and 7.5 * 3600.0 <= second < 14.0 * 3600.0


def rows(story: Story = PLANTED) -> Iterator[tuple[float, tuple[str, ...]]]:
    """Time [s since 1970 UTC] and texts of the values, in the order of TITLES."""
    chance = random.Random(story.seed)
    opened = doors(chance)
    upper, lower = Cave(UPPER, Air.of(11.5, 87.5)), Cave(LOWER, Air.of(12.6, 93.5))
    room = MakeRoom()

    def values() -> tuple[float, ...]:
        upper_air, lower_air = upper.air, lower.air
        return (
            upper_air.temperature,
            upper_air.humidity,
            lower_air.temperature,
            lower_air.humidity,
            room.brine,
            room.air.temperature,
            room.air.humidity,
        )

    probes = [
        Probe(chance, value, *((0.2, 1) if title.endswith("humidity") else (0.025, 2)))
        for title, value in zip(TITLES, values(), strict=True)
    ]
    at = START
    while at < END:
        texts = [probe.read(value) for probe, value in zip(probes, values(), strict=True)]
        if _within(story.unplugged, at):
            texts[TITLES.index("tub.temperature")] = ""
        yield at, tuple(texts)
        outside = outdoors(at)
        door_open = any(since <= at < since + DOOR_OPEN for since in opened)
        room.step(ROW, outside, making(at))
        upper.step(ROW, outside, room.air, door_open, water=not _within(story.dry, at))
        power = 0.05 if _within(story.iced, at) else 1.0
        lower.step(ROW, outside, room.air, door_open, power=power)
        at += ROW


def _within(stretch: Stretch | None, at: float) -> bool:
    return stretch is not None and stretch[0] <= at < stretch[1]


def log(story: Story = PLANTED) -> str:
    """The text of week.csv, or of another week's log."""
    lines = [",".join(("time", *TITLES))]
    for at, texts in rows(story):
        time = datetime.fromtimestamp(at, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        lines.append(",".join((time, *texts)))
    return "\n".join(lines) + "\n"


def journal(story: Story = PLANTED) -> str:
    """The text of week.journal.jsonl, or of another week's journal."""
    return journal_file.dump(entries(slips=story is PLANTED))


def main() -> None:
    """Write both files beside this one."""
    (HERE / "week.csv").write_bytes(log().encode("ascii"))
    (HERE / "week.journal.jsonl").write_bytes(journal().encode("ascii"))


if __name__ == "__main__":
    main()
