"""A wheel's salting as a whole: held against its countdown, its parts and its own account."""

from collections.abc import Callable
from dataclasses import astuple, replace

import pytest

from cavewatch.core.brine.strength import in_water, saturation
from cavewatch.core.place import PlaceKind
from cavewatch.core.salting.clock import DAY, WarmthRecord
from cavewatch.core.salting.countdowns import countdown
from cavewatch.core.salting.evening import EVEN
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.salting.whole import ACROSS, UP, Known, Whole, planned
from cavewatch.core.shape import Cuboid, Cylinder, Shape, Sphere
from cavewatch.core.style import Method, Style
from cavewatch.core.uptake import Uptake, When
from cavewatch.core.wheel import Event, Happening, Standing, Stay, Wheel

H = 3600.0
IN = Happening(0.0, Event.IN, "tub")
FACE = Happening(60.0, Event.SALTED, "tub", 40.0)
MakeWheel = Callable[..., Wheel]
SHAPES = (Cylinder(18.0, 9.0), Cuboid(20.0, 10.0, 9.0), Sphere(14.0))


@pytest.fixture
def wheel(style: Style) -> MakeWheel:
    def make(*history: Happening, shape: Shape | None = None) -> Wheel:
        dry = history[0].place == "tray"
        out = next((each.at for each in history if each.event is Event.OUT), None)
        in_salt = Standing.IN_DRY_SALT if dry else Standing.IN_BRINE
        return Wheel(
            id=1,
            make=1,
            lot="",
            style=style,
            method=Method.DRY if dry else Method.BRINE,
            weight=2500.0,
            shape=shape or style.proportions.sized(2500.0 / 1.08),
            made_at=0.0,
            floats=True,
            place=history[-1].place,
            since=0.0,
            standing=in_salt if out is None else Standing.AGING,
            salted_out_at=out,
            history=history,
            basis=7,
            stays=(Stay(0.0, history[0].place, PlaceKind.TUB),),
        )

    return make


def known(at: float, cave: float = 12.0) -> Known:
    warmth, cool = WarmthRecord([0.0], [12.0]), WarmthRecord([0.0], [cave])
    around = {
        "tub": Surroundings(warmth, ((0.0, 20.0),)),
        "tray": Surroundings(warmth),
        "cave": Surroundings(cool),
    }
    return Known(at, around, {})


def uptake(wheel: Wheel, at: float, stored: bool = False) -> Uptake:
    now = known(at)
    found = countdown(wheel, now.surroundings, at) if stored else None
    plan = planned(wheel, known(wheel.history[0].at))
    return Whole(wheel, now).uptake(plan, found, lambda seconds: f"{seconds / H:.1f} h")


def lifted(wheel: MakeWheel, at: float = 30 * H) -> Wheel:
    return wheel(IN, FACE, Happening(12 * H, Event.TURNED, "tub"), Happening(at, Event.OUT, "cave"))


def test_in_salt_it_agrees_with_its_countdown(wheel: MakeWheel) -> None:
    one, at = wheel(IN, FACE), 6 * H
    told = countdown(one, known(at).surroundings, at)
    found = uptake(one, at)
    assert told.in_moisture is not None
    for mine, theirs in ((found.now.salt, told.salt), (found.now.in_moisture, told.in_moisture)):
        assert astuple(mine) == pytest.approx(astuple(theirs))
    assert found.aimed == told.steps[-1].at
    assert found.ahead == told.steps
    assert found.target == told.target
    assert found.lifted_at is None


def test_the_curve_runs_from_nothing_through_the_aim_with_its_range(wheel: MakeWheel) -> None:
    found = uptake(wheel(IN, FACE), 6 * H)
    assert found.times[0] == 0.0
    assert found.times[-1] > found.aimed.high
    assert found.salt[0].expected == pytest.approx(0.0, abs=1e-9)
    for low, high in zip(found.salt, found.salt[1:], strict=False):
        assert low.expected <= high.expected
        assert high.low <= high.expected <= high.high
    pairs = list(zip(found.times, found.salt, strict=True))
    before = [salt.expected for at, salt in pairs if at < found.aimed.expected]
    after = [salt.expected for at, salt in pairs if at > found.aimed.expected]
    assert before[-1] <= found.target.expected <= after[0]


def test_once_lifted_the_curve_is_flat_and_the_time_of_the_aim_is_told(wheel: MakeWheel) -> None:
    one = lifted(wheel)
    found = uptake(one, 10 * DAY)
    flat = [s for t, s in zip(found.times, found.salt, strict=True) if t >= 30 * H]
    assert flat
    assert all(s.expected == pytest.approx(found.now.salt.expected, rel=1e-9) for s in flat)
    assert found.lifted_at == 30 * H
    assert found.ahead == ()
    assert found.aimed.low < found.aimed.expected < found.aimed.high


def test_the_plan_is_the_countdown_of_the_going_in(wheel: MakeWheel) -> None:
    one = lifted(wheel)
    fresh = countdown(wheel(IN), known(0.0).surroundings, 0.0)
    assert uptake(one, 10 * DAY).planned == fresh.steps


def test_a_pinned_plan_keeps_the_times_that_people_saw(wheel: MakeWheel) -> None:
    one, at = wheel(IN, FACE), 6 * H
    told = countdown(one, known(at).surroundings, at)
    assert told.pinned is not None
    stored = replace(told, pinned=replace(told.pinned, lift=50 * H, touches=(20 * H,)))
    plan = planned(one, known(0.0))
    found = Whole(one, known(at)).uptake(plan, stored, str)
    times = {step.action.value: step.at.expected for step in found.planned}
    assert times["lift"] == 50 * H
    assert times["turn"] == 20 * H


@pytest.mark.parametrize("shape", SHAPES)
def test_the_cut_holds_what_the_wheel_holds(wheel: MakeWheel, shape: Shape) -> None:
    one = wheel(IN, FACE, Happening(30 * H, Event.OUT, "cave"), shape=shape)
    whole = Whole(one, known(5 * DAY))
    for at in (10 * H, 30 * H, 5 * DAY, 40 * DAY):
        cut = whole.cut(at)
        assert len(cut.field) == UP
        assert {len(row) for row in cut.field} == {ACROSS}
        inside = [value for row in cut.field for value in row if value is not None]
        assert (len(inside) < UP * ACROSS) == isinstance(shape, Sphere)
        assert cut.least.expected - 0.01 <= min(inside)
        assert max(inside) <= cut.saltiest.expected + 0.01
        assert cut.least.expected <= cut.mean.expected <= cut.saltiest.expected
        for span in (cut.least, cut.mean, cut.saltiest):
            assert 0.0 <= span.low <= span.expected <= span.high
        assert cut.saltiest.high <= in_water(saturation(12.0))


def test_after_the_lift_the_mean_stays_and_the_extremes_come_together(wheel: MakeWheel) -> None:
    whole = Whole(lifted(wheel), known(10 * DAY))
    cuts = [whole.cut(at) for at in (30 * H, 5 * DAY, 20 * DAY, 80 * DAY)]
    means = [cut.mean.expected for cut in cuts]
    assert means == pytest.approx([means[0]] * 4)
    apart = [cut.saltiest.expected - cut.least.expected for cut in cuts]
    assert apart == sorted(apart, reverse=True)
    assert apart[-1] < apart[0] / 4


def test_when_it_is_even_the_cut_is(wheel: MakeWheel) -> None:
    one = lifted(wheel)
    even = next(m.at for m in uptake(one, 3 * DAY).moments if m.when is When.EVEN)
    cut = Whole(one, known(3 * DAY)).cut(even.expected)
    apart = cut.saltiest.expected - cut.least.expected
    assert apart == pytest.approx(EVEN * cut.mean.expected, rel=0.03)
    assert even.low < even.expected < even.high


def test_a_warm_cave_is_even_sooner_and_the_past_counts_as_it_was(wheel: MakeWheel) -> None:
    one = lifted(wheel)

    def even(cave: float, at: float) -> float:
        whole = Whole(one, known(at, cave))
        plan = planned(one, known(0.0))
        moments = whole.uptake(plan, None, str).moments
        return next(m.at.expected for m in moments if m.when is When.EVEN)

    assert even(18.0, 3 * DAY) < even(12.0, 3 * DAY) < even(6.0, 3 * DAY)
    assert even(12.0, 300 * DAY) == pytest.approx(even(12.0, 3 * DAY), abs=0.05 * DAY)


def test_the_moments_come_by_time(wheel: MakeWheel) -> None:
    before = [m.when for m in uptake(wheel(IN, FACE), 6 * H).moments]
    assert before == [When.NOW, When.LIFT, When.WEEK, When.EVEN]
    after = [m.when for m in uptake(lifted(wheel), 3 * DAY).moments]
    assert after == [When.LIFT, When.NOW, When.WEEK, When.EVEN]


def test_a_wheel_in_dry_salt_has_all_of_it_too(wheel: MakeWheel) -> None:
    tray = Happening(0.0, Event.IN, "tray")
    coat = Happening(60.0, Event.SALTED, "tray", 25.0)
    found = uptake(wheel(tray, coat), 6 * H)
    assert found.now.salt.expected > 0.0
    assert [step.action.value for step in found.planned][-1] == "lift"
    assert "style wants" in found.rests_on
