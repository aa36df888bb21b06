"""Wheels through brine and dry salt: what is left to do, and what it rests on."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from cavewatch.core.countdown import Action, Countdown, Step
from cavewatch.core.errors import CavewatchError
from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.salting.countdowns import countdown, countdowns
from cavewatch.core.salting.crossing import first_crossing
from cavewatch.core.salting.guesses import Rate, guesses
from cavewatch.core.salting.paste import Paste
from cavewatch.core.salting.salted import Track, Uptake
from cavewatch.core.salting.surroundings import PARTITION, Surroundings
from cavewatch.core.salting.turning import turning
from cavewatch.core.shape import Cylinder, Sphere
from cavewatch.core.style import Method, Style
from cavewatch.core.wheel import Event, Happening, Standing, Wheel

H = 3600.0
MakeWheel = Callable[..., Wheel]


@pytest.fixture
def wheel(style: Style) -> MakeWheel:
    def make(
        *history: Happening,
        dry: bool = False,
        weight: float = 2500.0,
        temperature: float | None = None,
    ) -> Wheel:
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
            temperature=temperature,
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


def test_a_fresh_wheel_is_salted_on_top_turned_and_lifted(wheel: MakeWheel) -> None:
    found = countdown(wheel(IN), around(), 0.0)
    actions = [step.action for step in found.steps]
    assert actions == [Action.SALT_FACE, Action.TURN, Action.SALT_FACE, Action.LIFT]
    assert found.basis == 7


@pytest.mark.parametrize("strength", [18.0, 20.0, 22.0])
def test_done_as_planned_it_comes_out_with_its_target_and_both_faces_alike(
    wheel: MakeWheel, strength: float
) -> None:
    plan = countdown(wheel(IN), around(strength), 0.0)
    turn = step(plan, Action.TURN).at.expected
    dose = step(plan, Action.SALT_FACE).grams
    assert dose is not None
    plenty = Happening(0.0, Event.SALTED, "tub", 2 * dose.high)
    done = wheel(IN, plenty, *turned(turn)[:1], replace(plenty, at=turn))
    # 1.8 % of the cheese when it is ready, which weighs 4 % less than at the lift.
    at_lift = countdown(done, around(strength), lift(plan))
    assert at_lift.salt.expected == pytest.approx(1.8 * 0.96, rel=1e-4)
    assert at_lift.target.expected == pytest.approx(1.8 * 0.96)
    expected = guesses(done, around(strength)["tub"], 0.0).expected
    top, bottom = Track.of(expected, around(strength), done.history).flat(lift(plan))
    assert top == pytest.approx(bottom, rel=1e-3)


def test_the_doses_last_just_until_the_turn_and_the_lift(wheel: MakeWheel) -> None:
    plan = countdown(wheel(IN), around(), 0.0)
    turn, end = step(plan, Action.TURN).at.expected, lift(plan)
    first, second = (s.grams for s in plan.steps if s.action is Action.SALT_FACE)
    assert first is not None
    assert second is not None
    enough = Track.of(
        guesses(wheel(IN), around()["tub"], 0.0).expected,
        around(),
        (
            IN,
            Happening(0.0, Event.SALTED, "tub", first.expected),
            Happening(turn, Event.TURNED, "tub"),
            Happening(turn, Event.SALTED, "tub", second.expected),
        ),
    )
    assert enough.left_on(0.95 * turn) > 0.1
    assert enough.left_on(turn - 1.0) == pytest.approx(0.0, abs=0.01)
    assert enough.left_on(turn + 0.9 * (end - turn)) > 0.1
    assert enough.left_on(end - 1.0) == pytest.approx(0.0, abs=0.01)


def test_a_face_salted_too_thinly_is_due_again_when_its_salt_is_used_up(wheel: MakeWheel) -> None:
    full = step(countdown(wheel(IN), around(), 0.0), Action.SALT_FACE).grams
    assert full is not None
    found = countdown(wheel(IN, FACE), around(), 5 * H)
    again = found.steps[0]
    assert again.action is Action.SALT_FACE
    thinly = Track.of(guesses(wheel(IN), around()["tub"], 0.0).expected, around(), (IN, FACE))
    assert again.at.expected == pytest.approx(thinly.used_up(60.0))
    assert 5 * H < again.at.expected < step(found, Action.TURN).at.expected
    # Both together are what would have been asked for at once.
    assert again.grams is not None
    assert FACE.grams + again.grams.expected == pytest.approx(full.expected, rel=0.02)


def test_a_face_with_enough_salt_until_the_turn_asks_for_no_more(wheel: MakeWheel) -> None:
    full = step(countdown(wheel(IN), around(), 0.0), Action.SALT_FACE).grams
    assert full is not None
    for share in (0.97, 1.5):
        on = replace(FACE, grams=share * full.expected)
        assert countdown(wheel(IN, on), around(), 5 * H).steps[0].action is Action.TURN


def test_a_face_that_lay_bare_too_long_is_turned_at_its_usual_time(style: Style) -> None:
    # Nothing makes up for it; a turn at once, or only at the lift, would be no help either.
    wheel = Uptake(
        paste=Paste(Cylinder(20.0, 7.4)),
        body=Body(2500.0, 1050.0, 2.25),
        diffusivity=style.diffusivity.value,
        rate=style.rate.value,
        dry_rate=0.4,
        retention=0.65,
        floats=True,
    )
    track = Track.of(wheel, around(), (IN, FACE))

    def lifted(track: Track) -> float:
        found = first_crossing(track.mean, 4.0, 60.0)
        assert found is not None
        return found

    plan = turning(track, lifted, 0.0, 60.0, 0)
    assert plan.turns == pytest.approx((0.75 * plan.lift,), rel=0.1)


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
    plenty = replace(FACE, grams=60.0)
    before, now, later = (
        countdown(wheel(IN, plenty), around(), hours * H) for hours in (20, 28, 30)
    )
    due = step(before, Action.TURN).at.expected
    assert 20 * H < due < 28 * H
    for late in (now, later):
        assert step(late, Action.TURN).at.expected == pytest.approx(due, abs=1.0)


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
    *rolls, last = [s.action for s in countdown(ball, around(), 0.0).steps]
    assert set(rolls) == {Action.TURN}
    assert last is Action.LIFT


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
    # What water it loses for its salt makes the wheel lighter: 1.5 to 3 g for each, 2.25 likely.
    for grams, ratio, percent in zip(
        (5.0, 6.5, 8.0),
        (1.5, 2.25, 3.0),
        (found.salt.low, found.salt.expected, found.salt.high),
        strict=True,
    ):
        lost = (ratio - 1.0) * grams
        assert percent == pytest.approx(100 * grams / (1000 - lost), rel=1e-6)


def test_faces_are_held_by_the_partition() -> None:
    assert around(20.0)["tub"].wet(0.0) == pytest.approx(PARTITION * 25.0)
    assert around()["tray"].wet(0.0) is None
    # 35.8 g of salt per 100 g of water at saturation (CRC).
    assert around()["tray"].under_salt() == pytest.approx(PARTITION * 35.8, rel=0.005)


def test_brine_beyond_the_barrier_counts_as_the_barrier() -> None:
    brine = around(25.0)["tub"]
    assert brine.wet(0.0) == pytest.approx(PARTITION * 100 * 22 / 78)
    assert replace(brine, barrier=100.0).wet(0.0) == pytest.approx(PARTITION * 100 * 25 / 75)


def test_a_warm_wheel_is_done_sooner_and_a_cold_one_later(wheel: MakeWheel) -> None:
    warm, usual, same, cold = (
        lift(countdown(wheel(IN, temperature=t), around(), 0.0)) for t in (30.0, None, 12.0, 4.0)
    )
    assert warm < usual < cold
    assert same == usual


def test_a_learned_rate_moves_and_narrows_the_countdown_and_says_so(wheel: MakeWheel) -> None:
    usual = countdown(wheel(IN), around(), 0.0)
    learned = countdown(wheel(IN), around(), 0.0, {"meadow": Rate(0.6, 0.1, 4)})
    wide, narrow = (step(found, Action.LIFT).at for found in (usual, learned))
    assert narrow.expected < wide.expected
    assert narrow.high / narrow.low < wide.high / wide.low
    assert "from 4 of your wheels" in learned.reason
    assert "of your wheels" not in usual.reason


def test_the_band_of_a_figure_is_the_band_of_its_rate(style: Style) -> None:
    rate = Rate.of(style.rate)
    assert rate.high / rate.low == pytest.approx(style.rate.high / style.rate.low)
    assert rate.value == style.rate.value


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


def test_flat_wheels_salt_faster_than_tall_ones_of_the_same_weight(wheel: MakeWheel) -> None:
    flat = replace(wheel(IN), shape=Cylinder(24.0, 5.1))
    tall = replace(wheel(IN), shape=Cylinder(14.0, 15.0))
    assert lift(countdown(flat, around(), 0.0)) < lift(countdown(tall, around(), 0.0))
