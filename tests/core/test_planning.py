"""The planner: what is asked for is what comes of it, whatever was asked."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cavewatch.core.brine.restoring import Tub
from cavewatch.core.brine.strength import in_water
from cavewatch.core.countdown import Action
from cavewatch.core.errors import CavewatchError
from cavewatch.core.salting.activity import paste_activity
from cavewatch.core.salting.asked import Asked
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.salting.countdowns import countdown
from cavewatch.core.salting.doses import on_faces, shares
from cavewatch.core.salting.guesses import Rate
from cavewatch.core.salting.planning import plan
from cavewatch.core.salting.remarks import remarks
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.salting.target import Basis, Target
from cavewatch.core.salting.teaspoons import GRAINS
from cavewatch.core.shape import Cuboid, Cylinder, Sphere
from cavewatch.core.style import Method, Style
from cavewatch.core.wheel import Event, Happening, Standing, Wheel
from cavewatch.styles import load

HOUR = 3600.0


@pytest.fixture
def asked(style: Style) -> Asked:
    return Asked(style, Method.BRINE, 2300.0, Cylinder(18.0, 8.4), 12.0, 20.0)


@pytest.mark.parametrize("floats", [True, False])
def test_a_target_is_what_the_wheel_has_at_the_lift(asked: Asked, floats: bool) -> None:
    by_weight = plan(replace(asked, target=Target(1.6), floats=floats))
    assert by_weight.salt_percent.expected == pytest.approx(1.6, abs=2e-4)
    by_water = plan(replace(asked, target=Target(4.5, Basis.MOISTURE), floats=floats))
    assert by_water.salt_in_moisture.expected == pytest.approx(4.5, abs=1e-3)


def test_without_a_target_the_style_s_aim_is_corrected_for_the_weight_lost_in_ageing(
    asked: Asked,
) -> None:
    # The invented style aims at 1.8 % and loses 4 %.
    assert plan(asked).salt_percent.expected == pytest.approx(1.8 * 0.96, abs=2e-4)


def test_a_time_asks_the_other_way_round(asked: Asked) -> None:
    there = plan(asked)
    back = plan(replace(asked, hold=there.lift.expected))
    assert back.lift.low == back.lift.high == there.lift.expected
    assert back.touches == pytest.approx(there.touches, abs=60.0)
    assert back.salt_percent.expected == pytest.approx(there.salt_percent.expected, rel=1e-4)


def test_the_steps_are_those_of_a_countdown_of_the_same_wheel(asked: Asked, style: Style) -> None:
    wheel = Wheel(
        id=0,
        make=0,
        lot="",
        style=style,
        method=Method.BRINE,
        weight=asked.weight,
        shape=asked.shape,
        made_at=0.0,
        floats=True,
        place="tub",
        since=0.0,
        standing=Standing.IN_BRINE,
        salted_out_at=None,
        history=(Happening(0.0, Event.IN, "tub"),),
        basis=0,
    )
    tub = Surroundings(WarmthRecord([0.0], [12.0]), ((0.0, 20.0),))
    assert plan(asked).steps == countdown(wheel, {"tub": tub}, 0.0).steps


@pytest.mark.parametrize(
    ("shape", "hours"),
    [(Cylinder(20.0, 10.0), 24.0), (Cuboid(20.0, 12.0, 10.0), 30.0), (Sphere(15.0), 48.0)],
)
def test_the_uptake_is_the_share_of_endless_time_that_the_series_gives(
    style: Style, shape: Cylinder | Cuboid | Sphere, hours: float
) -> None:
    # Series of Crank, The Mathematics of Diffusion, by Newman's product rule; within 0.1 %.
    def slab(thickness: float, clock: float) -> float:
        terms = (
            math.exp(-((2 * n + 1) ** 2) * math.pi**2 * clock / thickness**2) / (2 * n + 1) ** 2
            for n in range(1000)
        )
        return 8 / math.pi**2 * sum(terms)

    def ball(radius: float, clock: float) -> float:
        terms = (math.exp(-(n**2) * math.pi**2 * clock / radius**2) / n**2 for n in range(1, 1000))
        return 6 / math.pi**2 * sum(terms)

    def round_(radius: float, clock: float) -> float:
        # Short-time series of the cylinder; at these Fourier numbers within 1e-5.
        root = math.sqrt(clock) / radius
        return 1 - (4 / math.sqrt(math.pi) * root - root**2 - root**3 / (3 * math.sqrt(math.pi)))

    clock = 0.3 * hours / 24.0
    match shape:
        case Cylinder(diameter, height):
            left = round_(diameter / 2, clock) * slab(height, clock)
        case Cuboid(length, width, height):
            left = slab(length, clock) * slab(width, clock) * slab(height, clock)
        case Sphere(diameter):
            left = ball(diameter / 2, clock)
    weight = 1.08 * shape.volume
    asked = Asked(
        style,
        Method.BRINE,
        weight,
        shape,
        17.0,
        20.0,
        hold=hours * HOUR,
        diffusivity=0.3,
        rate=Rate(1.0, 0.0),
        floats=False,
    )
    made = plan(asked)
    assert made.uptake.expected == pytest.approx(1 - left, rel=1e-3)
    assert made.level.expected == pytest.approx((1 - left) * 0.85 * in_water(20.0), rel=1e-3)
    assert made.uptake.low == made.uptake.high


def test_a_face_left_bare_is_turned_half_way_and_takes_longer(asked: Asked) -> None:
    salted, bare = plan(asked), plan(replace(asked, bare_top=True))
    assert not [step for step in bare.steps if step.action is Action.SALT_FACE]
    assert bare.put_on is None
    assert bare.lift.expected > 1.2 * salted.lift.expected
    held = plan(replace(asked, bare_top=True, hold=20 * HOUR, litres=60.0))
    assert held.touches == pytest.approx((10 * HOUR,), rel=0.05)
    assert held.put_on is None
    assert held.salt.expected < plan(replace(asked, hold=20 * HOUR, litres=60.0)).salt.expected


def test_a_tub_that_is_far_too_small_for_its_wheels_is_refused(asked: Asked) -> None:
    with pytest.raises(CavewatchError, match=r"0\.1 L of brine is far too little for 21\.4 L"):
        replace(asked, litres=0.1, wheels=10)


def test_the_diffusivity_leaves_the_rate_factor_alone(asked: Asked) -> None:
    own = plan(replace(asked, diffusivity=asked.style.diffusivity.value))
    assert own.rate == plan(asked).rate
    assert own.lift.expected == pytest.approx(plan(asked).lift.expected, rel=1e-9)
    doubled = plan(replace(asked, diffusivity=2 * asked.style.diffusivity.value))
    assert doubled.lift.expected == pytest.approx(own.lift.expected / 2, rel=1e-3)


@settings(max_examples=25)
@given(
    strength=st.floats(10.0, 22.0),
    hours=st.floats(2.0, 100.0),
    litres=st.floats(8.0, 200.0),
    wheels=st.integers(1, 3),
)
def test_weight_salt_and_water_add_up_and_the_tub_has_lost_what_the_wheels_took(
    strength: float, hours: float, litres: float, wheels: int
) -> None:
    gouda = load()["gouda"]
    asked = Asked(
        gouda,
        Method.BRINE,
        2300.0,
        Cylinder(18.0, 8.4),
        12.0,
        strength,
        litres=litres,
        wheels=wheels,
        hold=hours * HOUR,
        floats=False,
    )
    made = plan(asked)
    after = 2300.0 + made.salt.expected - made.water_out.expected
    assert made.weight_after.expected == pytest.approx(after, rel=1e-9)
    percent = 100.0 * made.salt.expected / made.weight_after.expected
    assert made.salt_percent.expected == pytest.approx(percent, rel=1e-9)
    water = made.moisture_after.expected / 100.0 * made.weight_after.expected
    in_moisture = 100.0 * made.salt.expected / water
    assert made.salt_in_moisture.expected == pytest.approx(in_moisture, rel=1e-9)
    tub = Tub.of(litres, strength, 12.0)
    salt = tub.salt - wheels * made.salt.expected
    mass = tub.mass + wheels * (made.water_out.expected - made.salt.expected)
    assert made.brine_after is not None
    assert made.brine_after.expected == pytest.approx(100.0 * salt / mass, rel=1e-6)
    for band in (made.salt, made.weight_after, made.salt_percent, made.brine_after):
        assert band.low <= band.expected <= band.high


def test_a_small_tub_takes_longer_and_a_huge_one_as_long_as_an_endless_one(asked: Asked) -> None:
    endless = plan(asked).lift.expected
    small = plan(replace(asked, litres=8.0, wheels=2))
    huge = plan(replace(asked, litres=50_000.0))
    assert small.lift.expected > 1.03 * endless
    assert small.brine_after is not None
    assert small.brine_after.expected < 19.5
    assert huge.lift.expected == pytest.approx(endless, abs=5.0)
    assert small.salt_percent.expected == pytest.approx(1.8 * 0.96, abs=1e-3)


def test_a_wheel_denser_than_its_brine_is_not_turned_and_the_plan_says_why(asked: Asked) -> None:
    made = plan(replace(asked, strength=9.0))
    assert [step.action for step in made.steps] == [Action.LIFT]
    assert any("it sinks" in said for said in remarks(made))


def test_a_target_out_of_reach_is_told_with_what_would_bring_it(asked: Asked) -> None:
    weak = plan(replace(asked, strength=3.0))
    assert not weak.reached
    assert "it must be stronger than 4." in remarks(weak)[0]
    # In a tub that holds too little salt, the volume is what is wanted.
    scarce = plan(replace(asked, strength=12.0, litres=0.4, floats=False))
    assert not scarce.reached
    assert "the tub must hold well over" in remarks(scarce)[0]
    most = plan(replace(asked, target=Target(12.0)))
    assert "no brine does" in remarks(most)[0]


def test_a_tub_as_large_as_the_plan_says_just_does(asked: Asked) -> None:
    scarce = replace(asked, strength=12.0, litres=0.4, floats=False)
    said = remarks(plan(scarce))[0]
    least = float(said.split("well over ")[1].split(" L")[0])
    assert not plan(replace(scarce, litres=0.97 * least)).reached
    assert plan(replace(scarce, litres=2 * least)).reached


def test_brine_above_the_barrier_is_said_to_be_beyond_the_model(asked: Asked) -> None:
    made = plan(replace(asked, strength=25.0))
    assert any("above 22 %" in said for said in remarks(made))
    usual = plan(replace(asked, strength=22.0))
    assert made.lift.expected == pytest.approx(usual.lift.expected, rel=0.01)
    assert made.lift.high > 1.1 * usual.lift.high


def test_a_warm_wheel_is_out_sooner(asked: Asked) -> None:
    assert plan(replace(asked, wheel_temperature=30.0)).lift.expected < plan(asked).lift.expected


def test_coats_bring_what_is_wanted_over_what_stays(asked: Asked) -> None:
    dry = replace(asked, method=Method.DRY, target=Target(1.5), retention=0.6)
    even, front = plan(dry), plan(replace(dry, front_loaded=True))
    assert even.put_on is not None
    assert front.put_on is not None
    assert even.put_on.expected == pytest.approx(even.salt.expected / 0.6, rel=1e-3)
    assert even.salt_percent.expected == pytest.approx(1.5, abs=2e-3)
    assert front.put_on.expected == pytest.approx(even.put_on.expected)
    grams = [step.grams.expected for step in front.steps if step.grams is not None]
    assert grams == pytest.approx([front.put_on.expected * part / 6 for part in (3, 2, 1)])


def test_as_many_coats_as_are_asked_for_at_the_style_s_distance(asked: Asked) -> None:
    made = plan(replace(asked, method=Method.DRY, coats=5))
    coats = [step.at.expected / HOUR for step in made.steps if step.action is Action.COAT]
    assert coats == [0.0, 12.0, 24.0, 36.0, 48.0]


def test_coats_that_do_not_fit_into_the_time_are_named(asked: Asked) -> None:
    made = plan(replace(asked, method=Method.DRY, hold=20 * HOUR))
    assert any("only 2 of 3 coats" in said for said in remarks(made))


@given(coats=st.integers(1, 30), front=st.booleans())
def test_shares_of_coats_make_a_whole_and_never_rise(coats: int, front: bool) -> None:
    parts = shares(coats, front)
    assert len(parts) == coats
    assert sum(parts) == pytest.approx(1.0)
    assert list(parts) == sorted(parts, reverse=True)


@pytest.mark.parametrize("shape", [Cylinder(18.0, 8.0), Cuboid(20.0, 10.0, 8.0), Sphere(12.0)])
def test_a_coat_is_shared_over_the_faces_by_area(shape: Cylinder | Cuboid | Sphere) -> None:
    flat, side = on_faces(shape, 30.0)
    assert 2 * flat + side == pytest.approx(30.0)
    assert flat * shape.area == pytest.approx(30.0 * shape.face)


def test_evening_out_is_told_at_the_temperature_of_the_last_stage(asked: Asked) -> None:
    # The invented style's cave has 10 to 13 degC.
    assert plan(asked).cave == 11.5
    bare = replace(asked, style=replace(asked.style, stages=()))
    assert plan(bare).cave == 12.0


def test_water_activity_is_the_published_line() -> None:
    # Marcos 1981: 0.033 per mole of salt in a kilogram of water.
    assert paste_activity(5.8443).expected == pytest.approx(1.0 - 0.033)
    assert paste_activity(0.0).high == 1.0


def test_teaspoons_depend_on_the_grain() -> None:
    assert GRAINS["fine"].teaspoons(6.0) == pytest.approx(1.0, abs=0.01)
    assert GRAINS["flake"].teaspoons(6.0) == pytest.approx(2.0, abs=0.02)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"method": Method.MILLED}, "by its own rule"),
        ({"weight": 5.0}, "weight of one wheel is 5 g"),
        ({"weight": 9000.0}, "check weight and size"),
        ({"temperature": 60.0}, "temperature is 60 degC"),
        ({"strength": 0.0}, "strength of the brine"),
        ({"litres": math.nan}, "volume of brine"),
        ({"wheels": 0}, "number of wheels is 0; it must lie from 1"),
        ({"hold": 0.0}, "time in salt"),
        ({"diffusivity": math.inf}, "diffusivity"),
        ({"partition": 0.0}, "partition"),
        ({"rate": Rate(0.0, 0.0)}, "rate factor"),
        ({"wheel_temperature": 90.0}, "temperature of the wheel"),
        ({"retention": 0.0}, "part of the salt that stays"),
        ({"coats": 0}, "number of coats"),
    ],
)
def test_what_no_cheese_can_be_is_refused(asked: Asked, change, said: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(CavewatchError, match=said):
        replace(asked, **change)


@pytest.mark.parametrize("value", [0.0, -1.0, 13.0, math.nan])
def test_a_target_that_no_cheese_has_is_refused(value: float) -> None:
    with pytest.raises(CavewatchError, match="a target of"):
        Target(value)
