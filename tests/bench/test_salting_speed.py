"""How fast the salting core is, and a general-purpose PDE library beside it. Asserts no time.

CPU time of this process; on one core with OMP_NUM_THREADS=1 (and OPENBLAS_NUM_THREADS=1).
"""

import os
import runpy
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cavewatch.core.countdown import Countdown
from cavewatch.core.journal import Act, Entry, Made, Salted
from cavewatch.core.place import Place, PlaceKind, TubBrine
from cavewatch.core.salting import axis, paste
from cavewatch.core.salting.asked import Asked
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.salting.countdowns import countdown, countdowns
from cavewatch.core.salting.crossing import first_crossing
from cavewatch.core.salting.guesses import guesses
from cavewatch.core.salting.planning import plan
from cavewatch.core.salting.salted import PLENTY, Track
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.salting.target import Target
from cavewatch.core.salting.tubs import curve
from cavewatch.core.salting.turning import turning
from cavewatch.core.shape import Cuboid, Sphere
from cavewatch.core.style import Method
from cavewatch.core.wheel import Event, Happening, Standing, Wheel, fold
from cavewatch.styles import load

LIBRARY = Path(__file__).parents[1] / "reference" / "test_diffusion_library.py"
STYLES = load()
HOUR = 3600.0
NOW = 40 * HOUR
BRINE = TubBrine(20.5, 800.0, 13.0)


def cpu(act: Callable[[], Any], times: int) -> float:
    """The least of several runs [s]."""
    spent = []
    for _ in range(times):
        before = time.process_time()
        act()
        spent.append(time.process_time() - before)
    return min(spent)


def tell(what: str, seconds: float, aim: str = "") -> None:
    print(f"{what:66} {seconds * 1e3:9.2f} ms CPU  {aim}")


def forget() -> None:
    axis.axis.cache_clear()
    axis.bridge.cache_clear()
    paste._operator.cache_clear()


def wheel(number: int, tub: str, went_in: float, weight: float) -> Wheel:
    style = STYLES["gouda"]
    return Wheel(
        id=number,
        make=1,
        lot="",
        style=style,
        method=Method.BRINE,
        weight=weight,
        shape=style.proportions.sized(weight / style.density.value),
        made_at=0.0,
        floats=True,
        place=tub,
        since=went_in,
        standing=Standing.IN_BRINE,
        salted_out_at=None,
        history=(
            Happening(went_in, Event.IN, tub),
            Happening(went_in, Event.SALTED, tub, PLENTY),
        ),
        basis=1,
    )


def around(minutes: int) -> dict[str, Surroundings]:
    """Six tubs with a reading a minute, whose brine was tested twice."""
    times = [60.0 * minute for minute in range(minutes)]
    wave = 13.0 + 0.5 * np.sin(np.array(times) / 7000.0)
    strengths = ((0.0, 20.5), (30 * HOUR, 20.0))
    return {
        f"tub {n}": Surroundings(WarmthRecord(times, list(wave + n)), strengths) for n in range(6)
    }


def fleet(alike: bool) -> list[Wheel]:
    """300 wheels: in each tub five makes of ten wheels, a make alike or each of its own weight."""
    return [
        wheel(n, f"tub {n // 50}", n // 10 % 5 * 7 * HOUR, 4000.0 + (n // 10 if alike else n))
        for n in range(300)
    ]


def read_again(wheels: list[Wheel]) -> None:
    countdowns(wheels, around(int(NOW / 60)), NOW)


def to_target(one: Wheel, places: dict[str, Surroundings], level: float) -> float:
    """When the expected guess reaches the target, turned when both faces will have the same."""
    three = guesses(one, places[one.place], 0.0)
    track = Track.of(three.expected, places, one.history)

    def lifted(ahead: Track) -> float:
        reached = first_crossing(ahead.mean, level, 0.0)
        assert reached is not None
        return reached

    return turning(track, lifted, 0.0, 0.0, 0).lift


def kept_tubs() -> Callable[[], list[Countdown]]:
    """The same makes in tubs of 800 L whose brine they share, by the journal."""
    style = STYLES["gouda"]
    tubs = {f"tub {n}": Place(f"tub {n}", PlaceKind.TUB, {}, BRINE) for n in range(6)}
    acts: list[tuple[float, Act]] = []
    for number, (tub, make) in enumerate(product(tubs, range(5))):
        wheels = tuple(range(10 * number + 1, 10 * number + 11))
        made = Made(wheels, style.id, Method.BRINE, 4000.0 + 10 * make, tub)
        acts += [(make * 7 * HOUR, made), (make * 7 * HOUR + 60.0, Salted(wheels, 35.0))]
    acts.sort(key=lambda act: act[0])
    entries = [Entry(n, at, at, "AB", act) for n, (at, act) in enumerate(acts, start=1)]
    wheels_, misfits = fold(entries, STYLES, tubs)
    assert not misfits
    told = ((0.0, BRINE.strength),)
    first = {name: replace(each, strengths=told) for name, each in around(int(NOW / 60)).items()}
    plans = {found.wheel: found for found in countdowns(wheels_.values(), first, NOW)}

    def again() -> list[Countdown]:
        places = {
            name: replace(each, strengths=told) for name, each in around(int(NOW / 60)).items()
        }
        for name, tub in tubs.items():
            found = curve(tub, entries, wheels_, plans, places, {}, NOW)
            assert found is not None
            places[name] = replace(places[name], strengths=found.strengths)
        return countdowns(wheels_.values(), places, NOW)

    return again


@pytest.mark.bench
def test_speed_of_countdowns() -> None:
    print(
        f"\nOMP_NUM_THREADS={os.environ.get('OMP_NUM_THREADS', 'not set')}, numpy {np.__version__}"
    )
    places = around(1)
    one = wheel(1, "tub 0", 0.0, 4000.0)

    def cold(act: Callable[[], Any]) -> None:
        forget()
        act()

    target = partial(to_target, one, places, 3.0)
    tell("time to target with turn, nothing cached", cpu(partial(cold, target), 100), "aim: 5")
    whole = partial(countdown, one, places, 0.0)
    tell("its countdown: three guesses, doses; nothing cached", cpu(partial(cold, whole), 100))
    tell("the same, operators cached", cpu(whole, 100))
    for shape in (Sphere(20.0), Cuboid(30.0, 15.0, 10.0)):
        whole = partial(countdown, replace(one, shape=shape), places, 0.0)
        tell(f"countdown of a {type(shape).__name__}, operators cached", cpu(whole, 5))

    for alike, times, aim in ((True, 5, "aim: 500"), (False, 1, "")):
        wheels = fleet(alike)
        what = "30 makes" if alike else "each of its own weight"
        again = partial(read_again, wheels)
        tell(f"300 wheels in 6 tubs ({what}) after a new reading", cpu(again, times), aim)
    tell("300 wheels in 6 tubs (30 makes), sharing brine", cpu(kept_tubs(), 5), "aim: 500")
    block = Cuboid(20.0, 10.0, 8.0)
    asked = Asked(STYLES["gouda"], Method.BRINE, 1728.0, block, 12.0, 20.0, target=Target(1.8))
    for strength, litres, what in ((16.0, 1.0, "in a tub of 1 L"), (10.0, 0.5, "never there")):
        run = partial(plan, replace(asked, strength=strength, litres=litres))
        tell(f"plan of a Cuboid {what}", cpu(run, 1))


@pytest.mark.bench
@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_speed_beside_a_library(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both are held against the core on a grid of three times as many cells."""
    library = runpy.run_path(str(LIBRARY))
    turned, out, rested = (library[name] for name in ("TURNED", "OUT", "RESTED"))

    def core() -> tuple[float, ...]:
        track = library["by_core"]()
        means = [track.mean(at) for at in (turned, out, rested)]
        return (*means, track.on_top(turned, out))

    def off(found: tuple[float, ...]) -> str:
        errors = [abs(ours / true - 1) for ours, true in zip(found, exact, strict=True)]
        return f"off by {100 * max(errors[:3]):.3f} % (means), {100 * errors[3]:.3f} % (face)"

    with monkeypatch.context() as finer:
        finer.setattr(axis, "CELLS", 3 * axis.CELLS)
        forget()
        exact = core()
    forget()
    ours = core()
    print()
    cached = cpu(core, 100)
    cold = cpu(lambda: (forget(), core()), 100)
    tell("float bare, turn, salted face, rest; nothing cached", cold, off(ours))
    tell("the same, operators cached", cached, off(ours))
    for cells, finest, steps in ((40, 1e-3, 6), (60, 3e-4, 10)):
        run = partial(library["by_library"], cells, finest, steps)
        found = run()
        spent = cpu(run, 2)
        tell(f"FiPy, {cells} x {2 * cells} cells", spent, off((*found.means, found.on_top)))
        print(
            f"{'':20} times as long: {spent / cold:6.0f}; operators cached: {spent / cached:6.0f}"
        )
