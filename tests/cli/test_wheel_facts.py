"""A wheel's salt through the desk: as the recorder has it, kept until facts change."""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import pytest

from cavewatch.cli.desk import StoreDesk
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Lifted, Made, Turned
from cavewatch.core.place import Place, PlaceKind, TubBrine
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.style import Method
from cavewatch.recorder.solver import Solver
from cavewatch.store import Store
from cavewatch.styles import load
from cavewatch.units import Display

H = 3600.0
BEGIN = 480_000 * H
PLACES = (
    Place("tub", PlaceKind.TUB, {}, TubBrine(20.0, 60.0, 12.0)),
    Place("cave", PlaceKind.CAVE, {}),
)
WARM = Channel("tub", Quantity.TEMPERATURE)


@dataclass
class Dairy:
    """Two wheels in brine for 10 h, one that came salted."""

    store: Store
    desk: StoreDesk
    now: float

    def solve(self) -> None:
        """What the recorder does."""
        solver = Solver(self.store, self.desk.styles)
        solver.solve(self.desk.picture(), self.store.entries())
        self.desk._stale = True
        self.desk.picture()


@pytest.fixture
def dairy() -> Iterator[Dairy]:
    with closing(Store.in_memory()) as store:
        store.add_readings(Reading(WARM, BEGIN + n * 600.0, 13.0) for n in range(300))
        found = Dairy(store, None, BEGIN + 20 * H)  # type: ignore[arg-type]
        found.desk = StoreDesk(
            store,
            lambda: found.now,
            title="",
            zone=ZoneInfo("UTC"),
            display=Display(),
            initials="MK",
            styles=load(),
            places=PLACES,
            channels={WARM: 60.0},
            notice=str,
        )
        made = Made((1, 2), "gouda", Method.BRINE, 2500.0, "tub")
        found.desk.append(made, BEGIN + 10 * H, "MK")
        old = Made((3,), "gouda", Method.BRINE, 2500.0, "cave", salting_done=True)
        found.desk.append(old, BEGIN, "MK")
        found.solve()
        yield found


def test_it_agrees_with_the_countdown_that_people_see(dairy: Dairy) -> None:
    told = dairy.desk.picture().countdowns[1]
    found = dairy.desk.uptake(1)()
    assert found is not None
    assert told.pinned is not None
    assert found.ahead == told.steps
    assert found.aimed == told.steps[-1].at
    assert found.planned[-1].at.expected == told.pinned.lift
    assert found.now.salt.expected == pytest.approx(told.salt.expected, rel=1e-6)


def test_the_same_facts_are_worked_out_once(dairy: Dairy) -> None:
    first = dairy.desk.uptake(1)()
    dairy.now += 600
    assert dairy.desk.uptake(1)() is first
    dairy.desk.append(Turned((1,)), dairy.now, "MK")
    dairy.desk.picture()
    assert dairy.desk.uptake(1)() is not first


def test_it_follows_the_temperature_by_the_hour(dairy: Dairy) -> None:
    first = dairy.desk.uptake(1)()
    dairy.now += H
    second = dairy.desk.uptake(1)()
    assert first is not None
    assert second is not None
    assert second.at - first.at == H


def test_a_wheel_that_was_lifted_has_an_uptake_and_a_cut(dairy: Dairy) -> None:
    dairy.desk.append(Lifted((1, 2), "cave"), dairy.now - H, "MK")
    dairy.now += 5 * 24 * H
    dairy.solve()
    found = dairy.desk.uptake(1)()
    cut = dairy.desk.cut(1, dairy.now)()
    assert found is not None
    assert cut is not None
    assert found.lifted_at == BEGIN + 19 * H
    assert cut.least.expected < cut.mean.expected < cut.saltiest.expected
    assert cut.mean.expected == pytest.approx(found.now.in_moisture.expected)


def test_of_a_wheel_whose_salting_is_not_on_record_nothing_is_known(dairy: Dairy) -> None:
    assert dairy.desk.uptake(3)() is None
    assert dairy.desk.cut(3, dairy.now)() is None
    assert dairy.desk.uptake(9999)() is None


def test_a_store_that_is_gone_is_one_sentence(dairy: Dairy) -> None:
    work = dairy.desk.uptake(1)
    dairy.store.close()
    with pytest.raises(CavewatchError, match=r"store|database"):
        work()


def test_numpy_is_loaded_by_the_working_out_and_not_before() -> None:
    code = (
        "import sys, cavewatch.cli.wheel_facts, cavewatch.cli.desk, cavewatch.screens\n"
        "print('numpy' in sys.modules)"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.split() == ["False"]
