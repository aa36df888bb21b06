"""Wheels through brine and dry salt: what is left to do, and what it rests on."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from cavewatch.core.countdown import Action, Countdown, Step
from cavewatch.core.errors import CavewatchError
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.salting.countdowns import countdown, countdowns
from cavewatch.core.salting.guesses import guesses
from cavewatch.core.salting.milled import milled_dose
from cavewatch.core.salting.salted import Track
from cavewatch.core.salting.surroundings import PARTITION, Surroundings, under_salt
from cavewatch.core.shape import Cylinder, Sphere
from cavewatch.core.style import Method, Style
from cavewatch.core.wheel import Event, Happening, Standing, Wheel

H = 3600.0
MakeWheel = Callable[..., Wheel]


@pytest.fixture
def wheel(style: Style) -> MakeWheel:
    def make(*history: Happening, dry: bool = False, weight: float = 2500.0) -> Wheel:
        return Wheel(
            id=1,
            make=1,
            lot="",
            style=style,
            method=Method.DRY if dry else Method.BRINE,
            weight=weight,
            shape=style.proportions.sized(weight / 1.08),
            made_at=0.0,
            floats=True,
            place=history[0].place,
            since=0.0,
            standing=Standing.IN_DRY_SALT if dry else Standing.IN_BRINE,
            salted_out_at=None,
            history=history,
            basis=7,
        )

    return make


def around(strength: float = 20.0, temperature: float = 12.0) -> dict[str, Surroundings]:
    warmth = WarmthRecord([0.0], [temperature])
    return {"tub": Surroundings(warmth, ((0.0, strength),)), "tray": Surroundings(warmth)}


IN = Happening(0.0, Event.IN, "tub")
FACE = Happening(60.0, Event.SALTED, "tub", 15.0)


def turned(at: float) -> tuple[Happening, Happening]:
    return Happening(at, Event.TURNED, "tub"), Happening(at, Event.SALTED, "tub", 15.0)


def step(found: Countdown, action: Action) -> Step:
    return next(step for step in found.steps if step.action is action)


def lift(found: Countdown) -> float:
    return step(found, Action.LIFT).at.expected


def test_a_fresh_wheel_is_salted_on_top_turned_half_way_and_lifted(wheel: MakeWheel) -> None:
    found = countdown(wheel(IN), around(), 0.0)
    actions = [step.action for step in found.steps]
    assert actions == [Action.SALT_FACE, Action.TURN, Action.SALT_FACE, Action.LIFT]
    assert step(found, Action.TURN).at.expected == pytest.approx(lift(found) / 2)
    assert found.basis == 7


def test_done_as_planned_it_comes_out_with_its_target(wheel: MakeWheel) -> None:
    plan = countdown(wheel(IN), around(), 0.0)
    half = step(plan, Action.TURN).at.expected
    dose = step(plan, Action.SALT_FACE).grams
    assert dose is not None
    plenty = Happening(0.0, Event.SALTED, "tub", 2 * dose.high)
    done = wheel(IN, plenty, *turned(half)[:1], replace(plenty, at=half))
    at_lift = countdown(done, around(), lift(plan))
    assert at_lift.salt.expected == pytest.approx(1.8, rel=1e-4)


def test_the_doses_last_just_until_the_turn_and_the_lift(wheel: MakeWheel) -> None:
    plan = countdown(wheel(IN), around(), 0.0)
    half = step(plan, Action.TURN).at.expected
    dose = step(plan, Action.SALT_FACE).grams
    assert dose is not None
    enough = Track.of(
        guesses(wheel(IN), beyond_barrier=False).expected,
        around(),
        (IN, Happening(0.0, Event.SALTED, "tub", dose.expected)),
    )
    assert enough.state(half * 0.98).film > 0
    assert enough.state(half * 1.02).film == 0


def test_the_band_brackets_what_is_expected(wheel: MakeWheel) -> None:
    found = countdown(wheel(IN), around(), 5 * H)
    at = step(found, Action.LIFT).at
    assert at.low < at.expected < at.high
    assert found.salt.low < found.salt.expected < found.salt.high


def test_weaker_or_colder_brine_takes_longer(wheel: MakeWheel) -> None:
    usual = lift(countdown(wheel(IN), around(20.0, 12.0), 0.0))
    assert lift(countdown(wheel(IN), around(18.0, 12.0), 0.0)) > usual
    assert lift(countdown(wheel(IN), around(20.0, 9.0), 0.0)) > usual
    assert lift(countdown(wheel(IN, weight=4000.0), around(20.0, 12.0), 0.0)) > usual


def test_brine_found_weak_half_way_moves_the_lift(wheel: MakeWheel) -> None:
    warmth = WarmthRecord([0.0], [12.0])
    weak = {"tub": Surroundings(warmth, ((0.0, 20.0), (6 * H, 16.0)))}
    history = (IN, FACE, *turned(12 * H))
    before = countdown(wheel(*history), around(), 14 * H)
    after = countdown(wheel(*history), weak, 14 * H)
    assert lift(after) > lift(before)


def test_a_turn_that_is_late_stays_due_at_its_time(wheel: MakeWheel) -> None:
    found = countdown(wheel(IN, FACE), around(), 30 * H)
    due = step(found, Action.TURN).at.expected
    assert due < 30 * H
    assert due == pytest.approx(lift(found) / 2)


def test_a_forgotten_turn_costs_salt(wheel: MakeWheel) -> None:
    early, late = (*turned(14 * H),), (*turned(28 * H),)
    in_time = countdown(wheel(IN, *early), around(), 30 * H)
    forgotten = countdown(wheel(IN, *late), around(), 30 * H)
    assert forgotten.salt.expected < in_time.salt.expected


def test_a_wheel_past_its_target_was_due_when_it_reached_it(wheel: MakeWheel) -> None:
    history = (IN, FACE, *turned(15 * H))
    first = countdown(wheel(*history), around(), 80 * H)
    later = countdown(wheel(*history), around(), 95 * H)
    assert [s.action for s in first.steps] == [Action.LIFT]
    assert lift(first) < 80 * H
    assert lift(later) == pytest.approx(lift(first), abs=1.0)
    assert later.salt.expected > first.salt.expected > 1.8


def test_a_wheel_held_under_or_a_ball_needs_no_salt_on_top(wheel: MakeWheel) -> None:
    under = replace(wheel(IN), floats=False)
    assert [s.action for s in countdown(under, around(), 0.0).steps] == [Action.LIFT]
    ball = replace(wheel(IN), shape=Sphere(16.0))
    actions = [s.action for s in countdown(ball, around(), 0.0).steps]
    assert actions == [Action.TURN, Action.LIFT]


def test_strong_brine_is_not_extrapolated(wheel: MakeWheel) -> None:
    at_barrier = countdown(wheel(IN), around(22.0), 0.0)
    beyond = countdown(wheel(IN), around(26.0), 0.0)
    assert not at_barrier.caution
    assert "dries the surface" in beyond.caution
    assert lift(beyond) == pytest.approx(lift(at_barrier), abs=1.0)
    assert step(beyond, Action.LIFT).at.high > step(at_barrier, Action.LIFT).at.high


def test_brine_too_weak_for_the_target_says_so(wheel: MakeWheel) -> None:
    # Held under: on a wheel that floats the salted face would make up for it in the end.
    found = countdown(replace(wheel(IN), floats=False), around(4.0), 0.0)
    assert "does not bring the wheel to its target" in found.caution


def test_coats_come_at_the_styles_hours_and_their_dose_is_shared(wheel: MakeWheel) -> None:
    on_tray = Happening(0.0, Event.IN, "tray")
    found = countdown(wheel(on_tray, dry=True, weight=1000.0), around(), 0.0)
    coats = [s for s in found.steps if s.action is Action.COAT]
    assert [s.at.expected for s in coats] == [0.0, 12 * H, 24 * H]
    assert sum(s.grams.expected for s in coats if s.grams) == pytest.approx(17.5)


def test_what_a_coat_was_short_of_goes_on_with_the_next(wheel: MakeWheel) -> None:
    on_tray = Happening(0.0, Event.IN, "tray")
    coats = [Happening(hour * H, Event.SALTED, "tray", 4.0) for hour in (0.0, 12.0)]
    found = countdown(wheel(on_tray, *coats, dry=True, weight=1000.0), around(), 13 * H)
    last = step(found, Action.COAT)
    assert last.at.expected == 24 * H
    assert last.grams is not None
    assert last.grams.expected == pytest.approx(9.5)


def test_dry_salt_leaves_the_retained_part_in_the_wheel(wheel: MakeWheel) -> None:
    on_tray = Happening(0.0, Event.IN, "tray")
    coat = Happening(0.0, Event.SALTED, "tray", 10.0)
    found = countdown(wheel(on_tray, coat, dry=True, weight=1000.0), around(), 10 * 24 * H)
    assert found.salt.low == pytest.approx(0.5, rel=1e-3)
    assert found.salt.expected == pytest.approx(0.65, rel=1e-3)
    assert found.salt.high == pytest.approx(0.8, rel=1e-3)


def test_faces_are_held_by_the_partition() -> None:
    assert around(20.0)["tub"].wet(0.0) == pytest.approx(PARTITION * 25.0)
    # 35.8 g of salt per 100 g of water at saturation (CRC).
    assert under_salt() == pytest.approx(PARTITION * 35.8, rel=0.005)


def test_wheels_of_a_make_get_the_same_countdown_each_under_its_number(wheel: MakeWheel) -> None:
    make = [replace(wheel(IN), id=number) for number in (4, 5, 6)]
    resting = replace(wheel(IN), id=9, standing=Standing.AGING)
    found = countdowns([*make, resting], around(), 0.0)
    assert [c.wheel for c in found] == [4, 5, 6]
    assert len({c.steps for c in found}) == 1


def test_countdowns_survive_the_store(wheel: MakeWheel) -> None:
    found = countdown(wheel(IN), around(26.0), 3 * H)
    assert Countdown.from_plain(found.to_plain()) == found
    with pytest.raises(CavewatchError, match="stored countdown cannot be read"):
        Countdown.from_plain({"wheel": 1})


def test_milled_salt_brings_the_curd_to_its_target(style: Style) -> None:
    dose = milled_dose(style, 10_000.0)
    assert dose.low < dose.expected < dose.high
    in_cheese = dose.expected * 0.5 / (10_000.0 * 0.86)
    assert in_cheese == pytest.approx(0.018)
    with pytest.raises(CavewatchError, match="Meadow is not salted in the milled curd"):
        milled_dose(replace(style, milled=None), 10_000.0)


def test_flat_wheels_salt_faster_than_tall_ones_of_the_same_weight(wheel: MakeWheel) -> None:
    flat = replace(wheel(IN), shape=Cylinder(24.0, 5.1))
    tall = replace(wheel(IN), shape=Cylinder(14.0, 15.0))
    assert lift(countdown(flat, around(), 0.0)) < lift(countdown(tall, around(), 0.0))
