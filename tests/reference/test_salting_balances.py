"""Worked balances and solutions for limited brine, a film at the surface, and milled curd.

The sources stand with the numbers in salting_tables.json.
"""

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from cavewatch.core.brine.exchange import Exchange
from cavewatch.core.brine.restoring import Tub, salt_to_add
from cavewatch.core.brine.strength import in_water
from cavewatch.core.salting import axis, paste
from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.clock import DAY, REFERENCE, WarmthRecord
from cavewatch.core.salting.milled import MilledAsked, milled
from cavewatch.core.salting.paste import Face, Held, Paste
from cavewatch.core.salting.salted import Uptake
from cavewatch.core.salting.sharing import Addition, Bather, shared
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.salting.target import Basis, Target
from cavewatch.core.shape import Cylinder
from cavewatch.core.style import Figure, MilledPlan
from cavewatch.core.wheel import Event, Happening
from cavewatch.styles import load

TABLES = json.loads((Path(__file__).parent / "salting_tables.json").read_text())

WATER = 1000.0
"""In the wheel [g]."""
# So wide that what comes through the side (a 5000th) is nothing: a slab of half thickness 1.
SLAB = Cylinder(20_000.0, 2.0)


def uptake(water_per_salt: float, diffusivity: float = 1.0) -> Uptake:
    body = Body(2200.0, WATER, water_per_salt)
    return Uptake(Paste(SLAB), body, diffusivity, 1.0, 1.0, 0.65, floats=False)


def around(strength: float) -> dict[str, Surroundings]:
    warmth = WarmthRecord([0.0], [REFERENCE])
    return {"tub": Surroundings(warmth, ((0.0, strength),), partition=1.0)}


@pytest.mark.parametrize(("ratio", "fo", "share"), TABLES["limited brine"]["rows"])
def test_a_slab_takes_from_a_limited_brine_what_the_table_says(
    ratio: float, fo: float, share: float
) -> None:
    # No water comes out and the partition is 1: brine and paste count salt per water alike.
    # Reached on the default steps: 0.09 %.
    strength = 20.0
    brine = ratio * WATER
    tub = Tub(brine / (1 - strength / 100), brine / (1 - strength / 100) * strength / 100)
    bather = Bather(uptake(water_per_salt=0.0), (Happening(0.0, Event.IN, "tub"),), 1)
    end = shared("tub", tub, 0.0, fo * DAY, [bather], around(strength)).end
    taken = 100.0 * (tub.salt - end.salt) / WATER
    final = in_water(strength) / (1 + 1 / ratio)
    assert end.water == pytest.approx(tub.water, rel=1e-12)
    assert taken == pytest.approx(share * final, rel=1e-3)


def test_what_one_wheel_takes_and_gives_is_the_worked_balance_and_can_be_topped_up() -> None:
    table = TABLES["top-up"]
    tub = Tub(100_000.0, 20_000.0)
    after = tub.after(Exchange(salt=400.0, water=1000.0))
    assert after.strength == pytest.approx(table["strength"], abs=1e-4)
    assert salt_to_add(after, 20.0) == pytest.approx(1000.0 * table["salt"], abs=0.5)


def test_wheels_solved_with_their_tub_leave_it_as_the_worked_balance() -> None:
    # The same wheel many times, lifted when 400 g have gone in; 2.5 g of water come out per gram.
    table = TABLES["top-up"]
    bather = Bather(uptake(water_per_salt=2.5), (Happening(0.0, Event.IN, "tub"),), 20)
    tub, lift = Tub(100_000.0, 20_000.0), 0.0
    low, high = 0.0, DAY
    while high - low > 1.0:
        lift = (low + high) / 2
        end = shared("tub", tub, 0.0, lift, [bather], around(20.0)).end
        low, high = (lift, high) if tub.salt - end.salt < 400.0 else (low, lift)
    assert tub.salt - end.salt == pytest.approx(400.0, abs=1.0)
    assert end.strength == pytest.approx(table["strength"], abs=1e-3)
    salt = Addition(lift - 1.0, salt=1000.0 * table["salt"])
    topped = shared("tub", tub, 0.0, lift, [bather], around(20.0), [salt]).end
    assert topped.strength == pytest.approx(20.0, abs=1e-3)


@pytest.fixture
def _other_films() -> Iterator[None]:
    yield
    axis.axis.cache_clear()
    paste._operator.cache_clear()


@pytest.mark.usefixtures("_other_films")
@pytest.mark.parametrize(("biot", "fo", "share"), TABLES["surface resistance"]["rows"])
def test_a_slab_behind_a_film_takes_up_what_the_table_says(
    biot: float, fo: float, share: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Reached: 0.02 %. The core's number counts the whole thickness, the table's the half.
    monkeypatch.setattr(axis, "BIOT", 2 * biot)
    axis.axis.cache_clear()
    paste._operator.cache_clear()
    slab = Paste(SLAB)
    faces = {Face.TOP: Held(1.0, salted=True), Face.BOTTOM: Held(1.0, salted=True)}
    assert slab.course(slab.fresh(), faces).mean(fo) == pytest.approx(share, rel=5e-4)


@pytest.mark.parametrize(("treatment", "salt", "retention", "cheese"), TABLES["cheddar"]["rows"])
def test_milled_curd_is_salted_as_much_as_the_trial_was(
    treatment: str, salt: float, retention: float, cheese: float
) -> None:
    plan = MilledPlan(*(Figure(each, each, each, treatment) for each in (retention / 100, cheese)))
    style = replace(load()["cheddar"], milled=plan)
    found = milled(MilledAsked(style, 1000.0, Target(salt, Basis.CHEESE)))
    # The trial's salt and retention are given to three figures.
    assert found.dose == pytest.approx(1000.0 * TABLES["cheddar"]["dose"] / 100, rel=0.003)
    assert found.drained.expected == pytest.approx(found.dose * (1 - retention / 100))


@pytest.mark.parametrize("retention", [row[2] for row in TABLES["cheddar"]["rows"]])
def test_the_style_books_range_of_what_drains_holds_the_trial(retention: float) -> None:
    drains = milled(MilledAsked(load()["cheddar"], 1000.0)).drains
    assert drains.low - 0.01 <= 1 - retention / 100 <= drains.high + 0.01
