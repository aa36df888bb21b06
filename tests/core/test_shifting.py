"""Why a lift moved: what the plan rests on now, held against what it rested on when it was made."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from cavewatch.core.countdown import Countdown
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.salting.countdowns import countdown
from cavewatch.core.salting.guesses import Rate, guesses
from cavewatch.core.salting.salted import Track
from cavewatch.core.salting.shifting import held
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.style import Method, Style
from cavewatch.core.wheel import Event, Happening, Standing, Wheel

H = 3600.0
IN = Happening(0.0, Event.IN, "tub")
FACE = Happening(60.0, Event.SALTED, "tub", 40.0)
MakeWheel = Callable[..., Wheel]


@pytest.fixture
def wheel(style: Style) -> MakeWheel:
    def make(*history: Happening) -> Wheel:
        dry = history[0].place == "tray"
        return Wheel(
            id=1,
            make=1,
            lot="",
            style=style,
            method=Method.DRY if dry else Method.BRINE,
            weight=2500.0,
            shape=style.proportions.sized(2500.0 / 1.08),
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


def around(*strengths: tuple[float, float], temperature: float = 12.0) -> dict[str, Surroundings]:
    warmth = WarmthRecord([0.0], [temperature])
    strengths = strengths or ((0.0, 20.0),)
    return {"tub": Surroundings(warmth, strengths), "tray": Surroundings(warmth)}


def words(seconds: float) -> str:
    return f"{abs(seconds) / H:.1f} h"


def told(before: Countdown, found: Countdown, wheel: Wheel) -> str:
    return held(before, found, wheel, words).shift


def test_a_plan_that_holds_tells_no_shift_and_stays_pinned(wheel: MakeWheel) -> None:
    one = wheel(IN, FACE)
    first = countdown(one, around(), 60.0)
    later = held(first, countdown(one, around(), 5 * H), one, words)
    assert later.shift == ""
    assert later.pinned == first.pinned
    assert later.at_lift is not None
    assert later.solved_at == 5 * H


def test_weaker_brine_is_named_and_the_lift_is_later(wheel: MakeWheel) -> None:
    one = wheel(IN, FACE)
    first = countdown(one, around(), 60.0)
    second = countdown(one, around((0.0, 20.0), (4 * H, 18.5)), 4 * H)
    found = held(first, second, one, words)
    assert first.pinned is not None
    later = second.steps[-1].at.expected - first.pinned.lift
    assert found.shift.startswith(f"lift {words(later)} later than planned: brine 18.")
    assert found.shift.endswith("% in the mean, not 20.0 %")


def test_the_pin_outlives_further_solves(wheel: MakeWheel) -> None:
    one = wheel(IN, FACE)
    first = countdown(one, around(), 60.0)
    weak = around((0.0, 20.0), (4 * H, 18.5))
    second = held(first, countdown(one, weak, 4 * H), one, words)
    third = held(second, countdown(one, weak, 6 * H), one, words)
    assert third.pinned == first.pinned
    assert third.shift == second.shift


def test_warmer_brine_is_named_and_the_lift_is_sooner(wheel: MakeWheel) -> None:
    one = wheel(IN, FACE)
    first = countdown(one, around(), 60.0)
    shift = told(first, countdown(one, around(temperature=15.0), 4 * H), one)
    assert "sooner than planned: {15.0 degC}, not {12.0 degC}" in shift


def test_a_late_turn_is_named_if_the_face_lay_bare(wheel: MakeWheel) -> None:
    one = wheel(IN, Happening(60.0, Event.SALTED, "tub", 19.0))
    first = countdown(one, around(), 60.0)
    due = next(step.at.expected for step in first.steps if step.action == "turn")
    at = due + 4 * H
    late = wheel(*one.history, Happening(at, Event.TURNED, "tub"))
    shift = told(first, countdown(late, around(), at), late)
    assert f"later than planned: turned {words(4 * H)} late" in shift


def test_salt_that_was_never_put_on_the_face_is_named(wheel: MakeWheel) -> None:
    one = wheel(IN)
    first = countdown(one, around(), 0.0)
    shift = told(first, countdown(one, around(), 8 * H), one)
    assert "later than planned: face bare for 8.0 h" in shift


def test_what_was_learned_is_named(wheel: MakeWheel) -> None:
    one = wheel(IN, FACE)
    first = countdown(one, around(), 60.0)
    slower = {"meadow": Rate(0.3, 0.2, wheels=4)}
    second = countdown(one, around(), 4 * H, slower)
    assert "later than planned: rate 0.3, not 0.45, as learned since" in told(first, second, one)


def test_a_changed_target_is_named(wheel: MakeWheel) -> None:
    one = wheel(IN, FACE)
    first = countdown(one, around(), 60.0)
    salt = replace(one.style.salt, value=2.1)
    saltier = replace(one, style=replace(one.style, salt=salt))
    shift = told(first, countdown(saltier, around(), 60.0), saltier)
    assert "later than planned: target 2.0 %, not 1.7 %" in shift


def test_causes_that_pull_the_other_way_are_not_named(wheel: MakeWheel) -> None:
    one = wheel(IN, FACE)
    first = countdown(one, around(), 60.0)
    mixed = around((0.0, 20.0), (60.0, 17.0), temperature=12.6)
    shift = told(first, countdown(one, mixed, 2 * H), one)
    assert "later than planned: brine" in shift
    assert "°C" not in shift


def test_in_dry_salt_a_late_coat_and_another_dose_are_named(wheel: MakeWheel) -> None:
    start = Happening(0.0, Event.IN, "tray")
    one = wheel(start)
    first = countdown(one, around(), 0.0)
    coats = [Happening(hours * H, Event.SALTED, "tray", 14.6) for hours in (0, 12, 30)]
    late = wheel(start, *coats)
    assert "coated 6.0 h late" in told(first, countdown(late, around(), 30 * H), late)
    much = wheel(start, Happening(0.0, Event.SALTED, "tray", 146.0))
    shift = told(first, countdown(much, around(), 60.0), much)
    assert "later than planned: {146.0 g}, not {43.8 g} of salt" in shift


def test_another_salting_begins_with_another_pin(wheel: MakeWheel) -> None:
    first = countdown(wheel(IN, FACE), around(), 60.0)
    again = wheel(replace(IN, at=9 * H))
    second = countdown(again, around((0.0, 17.0)), 9 * H)
    assert held(first, second, again, words) is second


def test_bare_time_is_that_without_salt_on_the_face_that_stands_out(wheel: MakeWheel) -> None:
    one = wheel(IN, Happening(2 * H, Event.SALTED, "tub", 5.0), Happening(9 * H, Event.OUT, "cave"))
    places = {**around(), "cave": Surroundings(WarmthRecord([0.0], [12.0]))}
    pinned = countdown(wheel(*one.history[:2]), places, 9 * H).pinned
    assert pinned is not None
    track = _track(one, places)
    used = track.used_up(2 * H)
    assert 2 * H < used < 9 * H
    assert track.bare(30 * H) == pytest.approx(2 * H + 9 * H - used)
    assert pinned.bare == pytest.approx(track.bare(30 * H))


def _track(one: Wheel, places: dict[str, Surroundings]) -> Track:
    return Track.of(guesses(one, places["tub"], 0.0).expected, places, one.history)


def test_the_equivalent_temperature_has_the_same_diffusion_clock() -> None:
    record = WarmthRecord([0.0, 5 * H, 11 * H], [8.0, 18.0, 12.0])
    same = record.equivalent(1 * H, 20 * H)
    assert 12.0 < same < 14.0
    constant = WarmthRecord([0.0], [same])
    assert constant.days(1 * H, 20 * H) == pytest.approx(record.days(1 * H, 20 * H), rel=1e-12)


def test_the_mean_strength_weighs_each_by_its_time() -> None:
    tub = around((0.0, 20.0), (4 * H, 18.0))["tub"]
    assert tub.mean_strength(2 * H, 10 * H) == pytest.approx((2 * 20.0 + 6 * 18.0) / 8)
    assert around()["tray"].mean_strength(0.0, H) is None
