"""How fast a week is watched: 4 channels every 10 s, from CSV through the engine to the report.

The time wanted is 3 s of one CPU of a small machine. Asserts no time.
"""

import csv
import random
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cavewatch import clock
from cavewatch.cli import report
from cavewatch.cli.recorded import Recorded
from cavewatch.cli.rehearsal import rehearse
from cavewatch.units import Display

START = 1_772_431_200
ROWS = 7 * 8640
TITLES = (
    "time,upper cave.temperature,upper cave.humidity,lower cave.temperature,lower cave.humidity"
)
CONFIG = """
[dairy]
name = "Bench"
zone = "UTC"

[[place]]
name = "upper cave"
kind = "cave"
temperature = [10, 13]
humidity = [80, 92]

[[place]]
name = "lower cave"
kind = "cave"
temperature = [10, 15]
humidity = [88, 97]

[log]
every = "10 s"
"""


def cpu(what: str, act: Callable[[], Any]) -> Any:
    """Do it three times; print the least CPU time."""
    spent = []
    for _ in range(3):
        before = time.process_time()
        found = act()
        spent.append(time.process_time() - before)
    print(f"{what:56} {min(spent):9.2f} s CPU")
    return found


@pytest.mark.bench
def test_speed_of_watching_a_week(tmp_path: Path) -> None:
    chance = random.Random(1)
    path = tmp_path / "bench.csv"
    with path.open("w", encoding="ascii") as file:
        file.write(TITLES + "\n")
        for n in range(ROWS):
            at = clock.local(START + 10.0 * n, clock.zone("UTC")).strftime("%Y-%m-%dT%H:%M:%SZ")
            swing = 0.4 * ((n % 240) / 120 - 1)  # a compressor of forty minutes
            warm, damp = chance.gauss(0.0, 0.03), chance.gauss(0.0, 0.3)
            file.write(f"{at},{11.5 + swing + warm:.2f},{87 + damp:.1f},")
            file.write(f"{12.5 - swing + warm:.2f},{93 - damp:.1f}\n")
    path.with_suffix(".toml").write_text(CONFIG, encoding="ascii")

    def read_alone() -> int:
        with path.open(encoding="ascii", newline="") as file:
            return sum(1 for _ in csv.reader(file))

    def decoded() -> int:
        return sum(1 for _ in Recorded.opened(path, None).log.readings())

    def watched() -> list[str]:
        found = Recorded.opened(path, None)
        run = rehearse(found.log, found.config, found.entries)
        zone = clock.zone(found.config.zone)
        return list(report.lines({"as it is": run}, "bench", Display(found.config.units), zone))

    print()
    assert cpu("csv.reader alone", read_alone) == ROWS + 1
    readings = cpu("the log's readings, decoded and judged", decoded)
    assert readings == 4 * ROWS
    lines = cpu(f"{readings:,} readings from CSV to the report", watched)
    assert any("lower cave.humidity" in line for line in lines)
