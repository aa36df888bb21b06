"""Stands in for a maker at the dashboard: enters one thing after the other, telling what is kept.

    python maker.py CONFIG SEED

Prints the number and the act of an entry once it was told that it is written.
"""

import random
import sys
import time
from contextlib import closing
from pathlib import Path

from cavewatch.cli.live import Live
from cavewatch.core.journal import Acknowledged, Act, Made, Noted, Turned
from cavewatch.core.style import Method

MOST_WHEELS = 12


def act(chance: random.Random, number: int, wheels: list[int], calling: list[str]) -> Act:
    """Something that a maker may do now."""
    drawn = chance.random()
    if drawn < 0.2 and len(wheels) < MOST_WHEELS:
        # Sunk: salt that ought to lie on a floating face is asked for "now", which never stands.
        number, weight = max(wheels, default=0) + 1, chance.uniform(1500.0, 6000.0)
        return Made((number,), "gouda", Method.BRINE, weight, "tub", floats=False)
    if drawn < 0.4 and wheels:
        return Turned((chance.choice(wheels),))
    if drawn < 0.7 and calling:
        return Acknowledged(chance.choice(calling))
    return Noted(f"note {number}")


def main(config: Path, chance: random.Random) -> None:
    with closing((live := Live.opened(config)).store):
        desk = live.desk()
        number = 0
        while True:
            number += 1
            dairy = desk.picture()
            calling = [alarm.key for alarm in dairy.alarms]
            did = act(chance, number, list(dairy.wheels), calling)
            entry = desk.append(did, desk.now(), "MK")
            print(entry.id, repr(entry.act), flush=True)
            time.sleep(chance.uniform(0.0, 0.3))


if __name__ == "__main__":
    main(Path(sys.argv[1]), random.Random(int(sys.argv[2])))
