"""Wheels in one tub: what they take up leaves the brine, and nothing else does."""

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cavewatch.core.brine.restoring import Tub
from cavewatch.core.salting import sharing
from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.salting.paste import Paste
from cavewatch.core.salting.salted import Track, Uptake
from cavewatch.core.salting.sharing import Addition, Bather, Shared, shared
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.shape import Cylinder, Shape, Sphere
from cavewatch.core.wheel import Event, Happening

H = 3600.0
WHEEL = Cylinder(20.0, 7.4)
WARMTH = WarmthRecord([0.0, 9 * H, 30 * H], [12.0, 16.0, 10.0])
AROUND = {
    "tub": Surroundings(WARMTH, ((0.0, 20.0),)),
    "wide": Surroundings(WARMTH, ((0.0, 18.0),)),
    "tray": Surroundings(WARMTH),
}
IN = Happening(0.0, Event.IN, "tub")


def uptake(shape: Shape = WHEEL, **changed: Any) -> Uptake:
    usual: dict[str, Any] = {
        "paste": Paste(shape),
        "body": Body(2500.0, 1050.0, 2.25),
        "diffusivity": 0.18,
        "rate": 0.5,
        "dry_rate": 0.4,
        "retention": 0.65,
        "floats": True,
    }
    return Uptake(**{**usual, **changed})


HELD_UNDER = uptake(floats=False)


def tub(litres: float = 20.0) -> Tub:
    return Tub.of(litres, 20.0, 12.0)


def solved(litres: float, *bathers: Bather, until: float = 24 * H) -> Shared:
    return shared("tub", tub(litres), 0.0, until, bathers, AROUND)


def in_it(found: Shared) -> dict[str, Surroundings]:
    """What wheels met, with the tub as it was worked out."""
    return {**AROUND, "tub": replace(AROUND["tub"], strengths=found.strengths)}


@st.composite
def histories(draw: st.DrawFn) -> tuple[Happening, ...]:
    """In at any time, then turned, salted, moved between two tubs, and out."""
    at, place = draw(st.floats(0.0, 20 * H)), draw(st.sampled_from(["tub", "tub", "wide"]))
    history = [Happening(at, Event.IN, place)]
    events = st.sampled_from([Event.TURNED, Event.SALTED, Event.SALTED, Event.IN, Event.OUT])
    for event in draw(st.lists(events, max_size=4)):
        at += draw(st.floats(60.0, 12 * H))
        if event is Event.IN:
            place = draw(st.sampled_from(["tub", "wide"]))
        elif event is Event.OUT:
            place = "tray"
        grams = draw(st.floats(0.5, 30.0)) if event is Event.SALTED else 0.0
        history.append(Happening(at, event, place, grams))
    return tuple(history)


bathers = st.builds(
    Bather,
    st.sampled_from([uptake(), HELD_UNDER, uptake(Sphere(16.0), dry=0.1)]),
    histories(),
    st.integers(1, 3),
)
additions = st.builds(
    Addition, st.floats(H, 50 * H), st.floats(0, 300), st.floats(0, 200), st.floats(0, 500)
)


def stays(bather: Bather, around: dict[str, Surroundings]) -> list[tuple[Track, float, float]]:
    """The stretches between happenings that a wheel spent in the tub, with its track."""
    track = Track.of(bather.uptake, around, bather.history)
    times = [*dict.fromkeys(h.at for h in bather.history), 60 * H]
    return [(track, a, b) for a, b in pairwise(times) if track.where(a) == ("tub", False)]


@settings(max_examples=40)
@given(
    st.floats(8.0, 60.0),
    st.lists(bathers, min_size=1, max_size=3),
    st.lists(additions, max_size=2, unique_by=lambda each: each.at),
)
def test_salt_and_water_are_conserved(
    litres: float, together: list[Bather], added: list[Addition]
) -> None:
    added.sort(key=lambda each: each.at)
    found = shared("tub", tub(litres), 0.0, 60 * H, together, AROUND, added)
    salt, water = tub(litres).salt, tub(litres).water
    for bather in together:
        wheel = bather.uptake
        for track, begin, end in stays(bather, in_it(found)):
            salt -= bather.count * track.taken_from_brine(begin, end)
            gained = wheel.body.salt(track.mean(end) - track.mean(begin))
            water += bather.count * wheel.body.water_per_salt * gained
        for happening in bather.history:
            before = [h for h in bather.history if h.at < happening.at]
            if happening.event is Event.TURNED:
                track = Track.of(wheel, in_it(found), before)
                if track.where(happening.at) == ("tub", False):
                    salt += bather.count * track.washed_off(happening.at)
    for each in added:
        then = next(tub for at, tub in found.tubs if at == each.at)
        salt += each.salt - each.drawn_off * then.strength / 100
        water += each.water - each.drawn_off * (1 - then.strength / 100)
    assert found.end.salt == pytest.approx(salt, rel=1e-9)
    assert found.end.water == pytest.approx(water, rel=1e-9)


def test_in_an_ever_larger_tub_a_wheel_is_as_in_one_without_end() -> None:
    constant = Track.of(HELD_UNDER, AROUND, [IN]).mean(24 * H)
    short = []
    for litres in (100.0, 1000.0, 10_000.0):
        found = solved(litres, Bather(HELD_UNDER, (IN,), 1))
        short.append(constant - Track.of(HELD_UNDER, in_it(found), [IN]).mean(24 * H))
    # What it misses falls with the size of the tub.
    assert 0 < short[0] < 0.01 * constant
    assert short[1] == pytest.approx(short[0] / 10, rel=0.05)
    assert short[2] == pytest.approx(short[0] / 100, rel=0.05)


@pytest.mark.parametrize("floats", [True, False])
def test_the_error_falls_as_the_step_to_the_power_of_three_halves(
    floats: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    def end(steps: int) -> float:
        monkeypatch.setattr(sharing, "FIRST", 24 * H / steps)
        monkeypatch.setattr(sharing, "LONGEST", 24 * H / steps)
        monkeypatch.setattr(sharing, "AGREE", math.inf)
        monkeypatch.setattr(sharing, "NOTHING", 0.0)
        return solved(20.0, Bather(uptake(floats=floats), (IN,), 4)).end.strength

    finest = end(512)
    errors = [abs(end(steps) - finest) for steps in (8, 16, 32)]
    for wide, narrow in pairwise(errors):
        assert math.log2(wide / narrow) == pytest.approx(1.5, abs=0.12)


def test_the_steps_it_chooses_hold_its_end_to_a_thousandth_of_a_per_cent_of_salt(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    crowd = [Bather(uptake(), (IN,), 4), Bather(HELD_UNDER, (replace(IN, at=10 * H),), 2)]
    chosen = solved(20.0, *crowd).end.strength
    monkeypatch.setattr(sharing, "FIRST", 24 * H / 512)
    monkeypatch.setattr(sharing, "LONGEST", 24 * H / 512)
    monkeypatch.setattr(sharing, "NOTHING", 0.0)
    fine = solved(20.0, *crowd).end.strength
    assert chosen < 19.5
    assert chosen == pytest.approx(fine, abs=0.001)


def test_wheels_alike_are_one_bather_or_several() -> None:
    one = solved(20.0, Bather(HELD_UNDER, (IN,), 3))
    three = solved(20.0, *[Bather(HELD_UNDER, (IN,), 1)] * 3)
    assert one.end.strength == pytest.approx(three.end.strength, rel=1e-12)


def test_the_brine_stands_still_while_nobody_is_in() -> None:
    first = (IN, Happening(10 * H, Event.OUT, "tray"))
    second = (replace(IN, at=20 * H), Happening(30 * H, Event.OUT, "tray"))
    found = solved(20.0, Bather(HELD_UNDER, first, 3), Bather(HELD_UNDER, second, 3), until=40 * H)
    where = in_it(found)["tub"]
    after_first = next(tub.strength for at, tub in found.tubs if at == 10 * H)
    assert 19.0 < after_first < 20.0
    assert where.strength(10 * H) == where.strength(19 * H) == after_first
    assert where.strength(35 * H) == found.end.strength < after_first


def test_who_comes_later_finds_weaker_brine_and_weakens_it_for_the_first() -> None:
    first, second = (IN,), (replace(IN, at=12 * H),)
    alone = solved(20.0, Bather(HELD_UNDER, first, 3))
    both = solved(20.0, Bather(HELD_UNDER, first, 3), Bather(HELD_UNDER, second, 3))

    def mean(found: Shared, history: tuple[Happening, ...]) -> float:
        return Track.of(HELD_UNDER, in_it(found), history).mean(24 * H)

    assert mean(both, first) < mean(alone, first)
    unspoilt = Track.of(HELD_UNDER, AROUND, second).mean(24 * H)
    assert mean(both, second) < unspoilt
    until_then = solved(20.0, Bather(HELD_UNDER, first, 3), until=12 * H)
    assert both.tubs[: len(until_then.tubs)] == until_then.tubs


def test_a_reading_corrects_the_curve_from_then_on() -> None:
    wheels = Bather(HELD_UNDER, (IN,), 3)
    until_then = solved(20.0, wheels, until=12 * H)
    reading = Addition(12 * H, measured=18.0)
    read = shared("tub", tub(), 0.0, 24 * H, [wheels], AROUND, [reading])
    assert read.tubs[: len(until_then.tubs)] == until_then.tubs
    strengths = in_it(read)["tub"]
    assert (strengths.strength(12 * H) or 0) == pytest.approx(18.0, abs=0.05)
    assert read.end.strength < 18.0
    # The volume goes on as it was: a reading weighs nothing.
    then = [tub for at, tub in read.tubs if at == 12 * H]
    assert then[0].mass == then[-1].mass


def test_salt_put_in_half_way_makes_the_rest_faster() -> None:
    wheels = Bather(HELD_UNDER, (IN,), 3)
    topped_up = shared("tub", tub(), 0.0, 24 * H, [wheels], AROUND, [Addition(8 * H, salt=400.0)])
    more, usual = (
        Track.of(HELD_UNDER, in_it(found), [IN]).mean(24 * H)
        for found in (topped_up, solved(20.0, wheels))
    )
    assert more > usual


def test_salt_that_washes_off_a_face_makes_the_brine_stronger() -> None:
    history = (
        IN,
        Happening(0.5 * H, Event.SALTED, "tub", 200.0),
        Happening(H, Event.TURNED, "tub"),
    )
    found = solved(20.0, Bather(uptake(), history, 2), until=2 * H)
    assert found.end.strength > 20.5


def test_salt_on_the_bottom_keeps_the_brine_saturated_only_where_it_is_stirred() -> None:
    wheels = Bather(HELD_UNDER, (IN,), 5)
    heap = [Addition(H, salt=4000.0)]
    still, stirred = (
        shared("tub", tub(), 0.0, 24 * H, [wheels], AROUND, heap, most=26.4, stirred=each)
        for each in (False, True)
    )
    (full,) = (strength for at, strength in still.strengths if at == H)
    assert full < 26.4
    assert still.end.strength < 26.3
    assert {strength for at, strength in stirred.strengths if at >= H} == {26.4}
    # The heap is still there, less what the wheels took: nothing is lost but to them.
    assert stirred.end.salt > still.end.salt + 500.0
    track = Track.of(HELD_UNDER, in_it(stirred), [IN])
    taken = 5 * track.taken_from_brine(0.0, 24 * H)
    assert stirred.end.salt == pytest.approx(tub().salt + 4000.0 - taken, rel=1e-9)
