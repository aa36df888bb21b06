"""A tub's brine as one curve: its wheels, its additions and the maker's readings."""

import math
from collections.abc import Callable

import pytest

from cavewatch.core.brine.exchange import water_per_salt
from cavewatch.core.brine.life import life
from cavewatch.core.brine.predicted import Predicted
from cavewatch.core.brine.restoring import Tub
from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import (
    Act,
    BrineMeasured,
    BrineWork,
    Ended,
    Ending,
    Entry,
    Lifted,
    Made,
    Salted,
    Tended,
    Turned,
)
from cavewatch.core.place import Place, PlaceKind, TubBrine
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.salting.countdowns import countdowns
from cavewatch.core.salting.guesses import guesses
from cavewatch.core.salting.salted import Track
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.salting.tubs import Curve, curve
from cavewatch.core.style import Method, Style
from cavewatch.core.wheel import Standing, Wheel, fold

H = 3600.0
TUB = Place("tub", PlaceKind.TUB, {}, TubBrine(20.0, 60.0, 12.0))
ENDLESS = Place("tub", PlaceKind.TUB, {}, TubBrine(20.0, None, 12.0))
CAVE = Place("cave", PlaceKind.CAVE, {})
WARMTH = WarmthRecord([0.0], [12.0])
Journal = tuple[tuple[float, Act], ...]


def made(*numbers: int, place: str = "tub") -> Made:
    return Made(numbers, "meadow", Method.BRINE, 2500.0, place)


class Dairy:
    """A journal in a style book of one, looked at at a time."""

    def __init__(self, style: Style, place: Place, at: float, journal: Journal) -> None:
        self.at = at
        self.place = place
        self.entries = [Entry(n, t, t, "MK", act) for n, (t, act) in enumerate(journal, start=1)]
        self.entries = [entry for entry in self.entries if entry.at <= at]
        named = {place.name: place, CAVE.name: CAVE}
        self.wheels, misfits = fold(self.entries, {style.id: style}, named)
        assert not misfits
        told = life(place, self.entries, self.wheels, at)
        self.around = {
            "tub": Surroundings(WARMTH, told.strengths),
            "cave": Surroundings(WARMTH),
        }

    def curve(self) -> Curve | None:
        in_brine = [w for w in self.wheels.values() if w.standing is Standing.IN_BRINE]
        plans = {c.wheel: c for c in countdowns(in_brine, self.around, self.at)}
        return curve(self.place, self.entries, self.wheels, plans, self.around, {}, self.at)

    def taken(self, wheel: Wheel, found: Curve, since: float) -> float:
        """Salt that a wheel took from the brine of this curve since a time [g]."""
        places = {**self.around, "tub": Surroundings(WARMTH, found.strengths)}
        uptake = guesses(wheel, places["tub"], since).expected
        return Track.of(uptake, places, wheel.history).taken_from_brine(since, self.at)


Begun = Callable[..., Dairy]


@pytest.fixture
def dairy(style: Style) -> Begun:
    def begun(at: float, *journal: tuple[float, Act], place: Place = TUB) -> Dairy:
        return Dairy(style, place, at, journal)

    return begun


def solved(dairy: Dairy) -> Curve:
    found = dairy.curve()
    assert found is not None
    return found


def strength_at(found: Curve, at: float) -> float:
    return [strength for when, strength in found.strengths if when <= at][-1]


def test_without_wheels_or_volume_there_is_no_curve(dairy: Begun) -> None:
    lifted = ((0.0, made(1)), (20 * H, Lifted((1,), "cave")))
    assert dairy(9 * H).curve() is None
    assert dairy(30 * H, *lifted).curve() is None
    assert dairy(9 * H, (0.0, made(1)), place=ENDLESS).curve() is None


def test_what_the_wheels_took_is_what_the_brine_lost(dairy: Begun) -> None:
    one = dairy(20 * H, (0.0, made(1, 2)), (60.0, Salted((1, 2), 20.0)))
    found = solved(one)
    start = Tub.of(60.0, 20.0, 12.0)
    taken = 2 * one.taken(one.wheels[1], found, 0.0)
    assert start.salt - found.predicted.tub.salt == pytest.approx(taken, rel=2e-3)
    assert taken > 20.0
    # Water comes out for what goes in through the salted face too, so that it is more than this.
    given = found.predicted.tub.water - start.water
    assert given > water_per_salt(20.0).expected * taken


def test_wheels_that_were_lifted_since_the_first_went_in_count(dairy: Begun) -> None:
    journal = ((0.0, made(1)), (8 * H, made(2)), (16 * H, Lifted((1,), "cave")))
    both = dairy(20 * H, *journal)
    found = solved(both)
    salt = Tub.of(60.0, 20.0, 12.0).salt - found.predicted.tub.salt
    first = both.taken(both.wheels[1], found, 0.0)
    second = both.taken(both.wheels[2], found, 8 * H)
    assert salt == pytest.approx(first + second, rel=2e-3)


def test_it_does_not_jump_when_the_first_wheel_is_lifted(dairy: Begun) -> None:
    journal = ((0.0, made(1)), (8 * H, made(2)), (16 * H, Lifted((1,), "cave")))
    before = solved(dairy(16 * H - 1, *journal)).predicted.strength.expected
    after = solved(dairy(16 * H + 1, *journal)).predicted.strength.expected
    assert after == pytest.approx(before, abs=0.003)


def test_a_reading_corrects_it_from_then_on(dairy: Begun) -> None:
    journal = ((0.0, made(1)), (10 * H, BrineMeasured("tub", 18.4)))
    found = solved(dairy(10 * H, *journal))
    assert found.predicted.strength == Span(*3 * (pytest.approx(18.4),))
    later = solved(dairy(15 * H, *journal))
    assert strength_at(later, 9 * H) == pytest.approx(19.95, abs=0.05)
    assert later.predicted.strength.expected < 18.4
    low, expected, high = (
        getattr(later.predicted.strength, end) for end in ("low", "expected", "high")
    )
    assert low < expected < high < 18.4


def test_it_begins_at_a_test_that_is_newer_than_the_wheels_that_were_in_before(
    dairy: Begun,
) -> None:
    journal = ((0.0, made(1)), (9 * H, BrineMeasured("tub", 19.0)), (10 * H, made(2)))
    found = solved(dairy(20 * H, *journal, (12 * H, Lifted((1,), "cave"))))
    whole = solved(dairy(20 * H, *journal))
    assert found.strengths[1][0] == 9 * H
    # Wheel 1 goes on with what it has; it takes far less than one that has just gone in.
    taken = 19.0 - strength_at(whole, 20 * H)
    fresh = solved(dairy(20 * H, (9 * H, BrineMeasured("tub", 19.0)), (10 * H, made(1, 2))))
    assert 0.5 < taken / (19.0 - strength_at(fresh, 20 * H)) < 0.9


def test_salt_put_in_raises_it(dairy: Begun) -> None:
    journal = ((0.0, made(1)), (5 * H, Tended("tub", BrineWork.RESTORED, salt=500.0)))
    without = solved(dairy(8 * H, journal[0])).predicted.tub
    found = solved(dairy(8 * H, *journal)).predicted.tub
    assert found.salt - without.salt == pytest.approx(500.0, abs=2.0)


def test_a_volume_that_was_told_counts_from_then_on(dairy: Begun) -> None:
    journal = ((0.0, made(1)), (5 * H, BrineMeasured("tub", 20.0, litres=30.0)))
    found = solved(dairy(5 * H, *journal))
    assert found.predicted.tub.mass == pytest.approx(Tub.of(30.0, 20.0, 12.0).mass)
    fresh = ((0.0, made(1)), (5 * H, Tended("tub", BrineWork.MIXED, litres=40.0, strength=22.0)))
    assert solved(dairy(6 * H, *fresh)).predicted.strength.expected == pytest.approx(22.0, abs=0.1)


def test_a_wheel_that_left_the_dairy_left_the_brine(dairy: Begun) -> None:
    journal = ((0.0, made(1, 2)), (6 * H, Ended((1,), Ending.DISCARDED)))
    gone = solved(dairy(20 * H, *journal)).predicted.strength.expected
    there = solved(dairy(20 * H, journal[0])).predicted.strength.expected
    assert there < gone < 20.0


def test_it_goes_on_by_the_plans_until_all_are_lifted(dairy: Begun) -> None:
    found = solved(dairy(10 * H, (0.0, made(1, 2)), (60.0, Salted((1, 2), 20.0))))
    lasting = [strength for _, strength in found.strengths]
    assert lasting[-1] == pytest.approx(found.predicted.when_lifted.strength, abs=0.01)
    assert found.predicted.when_lifted.strength < found.predicted.tub.strength
    assert found.strengths[-1][0] > 10 * H


def test_plans_with_the_curve_lift_a_little_later(dairy: Begun) -> None:
    one = dairy(0.0, (0.0, made(1, 2, 3, 4)))
    wheel = one.wheels[1]
    (endless,) = countdowns([wheel], one.around, 0.0)
    shared = {**one.around, "tub": Surroundings(WARMTH, solved(one).strengths)}
    (found,) = countdowns([wheel], shared, 0.0)
    later = found.steps[-1].at.expected / endless.steps[-1].at.expected
    assert 1.0 < later < 1.1


def test_an_overdue_turn_is_planned_for_soon(dairy: Begun) -> None:
    found = solved(dairy(60 * H, (0.0, made(1)), (H, Turned((1,)))))
    assert all(math.isfinite(strength) for _, strength in found.strengths)


def test_the_picture_shows_it_while_it_is_newer_than_what_is_told(dairy: Begun) -> None:
    one = dairy(20 * H, (0.0, made(1)), (9 * H, BrineMeasured("tub", 19.0)))
    told = life(TUB, one.entries, one.wheels, 20 * H)
    found = solved(one).predicted
    assert told.by(None) is told
    assert told.by(found).strength == found.strength
    assert told.by(found).tub == found.tub
    assert told.by(Predicted("tub", 8 * H, found.strength, found.tub, found.tub)) is told
    lifted = dairy(20 * H, (0.0, made(1)), (10 * H, Lifted((1,), "cave")))
    empty = life(TUB, lifted.entries, lifted.wheels, 20 * H)
    assert empty.by(found) is empty


def test_its_plain_form_comes_back_and_nothing_else_does(dairy: Begun) -> None:
    found = solved(dairy(9 * H, (0.0, made(1)))).predicted
    assert Predicted.from_plain(found.to_plain()) == found
    for plain in ({}, {**found.to_plain(), "tub": {"mass": 1.0}}, {**found.to_plain(), "more": 1}):
        with pytest.raises(CavewatchError, match="a stored brine cannot be read"):
            Predicted.from_plain(plain)
