"""A wheel's whole salting, whatever happened to it."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.clock import WarmthRecord
from cavewatch.core.salting.paste import Face, Paste
from cavewatch.core.salting.salted import FACE_RETENTION, PLENTY, Track, Uptake
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.shape import Cylinder, Shape, Sphere
from cavewatch.core.wheel import Event, Happening

H = 3600.0
WHEEL = Cylinder(20.0, 7.4)
WARMTH = WarmthRecord([0.0, 9 * H, 30 * H], [12.0, 16.0, 10.0])
PLACES = {
    "tub": Surroundings(WARMTH, ((0.0, 20.0), (7 * H, 18.0), (25 * H, 21.0))),
    "other tub": Surroundings(WARMTH, ((0.0, 17.0), (20 * H, 22.0))),
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


def tub(*strengths: tuple[float, float], barrier: float = 22.0) -> dict[str, Surroundings]:
    warmth = WarmthRecord([0.0], [12.0])
    return {"tub": Surroundings(warmth, strengths, barrier=barrier)}


@st.composite
def histories(draw: st.DrawFn, salted: bool = True) -> list[Happening]:
    """In, then turned, salted, moved to another tub and out, at different times."""
    at, place = 0.0, draw(st.sampled_from(["tub", "other tub"]))
    history = [Happening(at, Event.IN, place)]
    events = [Event.TURNED, Event.IN, Event.OUT, *[Event.SALTED] * 2 * salted]
    for event in draw(st.lists(st.sampled_from(events), max_size=7)):
        at += draw(st.floats(60.0, 15 * H))
        if event is Event.IN:
            place = draw(st.sampled_from(["tub", "other tub"]))
        elif event is Event.OUT:
            place = "tray"
        grams = draw(st.floats(0.5, 30.0)) if event is Event.SALTED else 0.0
        history.append(Happening(at, event, place, grams))
    return history


@given(histories(), st.floats(0.0, 20 * H))
def test_salt_is_conserved_in_every_history(history: list[Happening], more: float) -> None:
    # What is in the wheel came from the brine or from its face; what was put on the face
    # went in, washed off, or is still there.
    wheel = uptake()
    track = Track.of(wheel, PLACES, history[:1])
    put_on = gone = 0.0
    for happening in history[1:]:
        if happening.event is Event.SALTED:
            put_on += 0.0 if track.where(happening.at)[1] else happening.grams
        else:
            gone += track.left_on(happening.at) / FACE_RETENTION
        track = track.then(happening)
    end = history[-1].at + more
    inside = wheel.body.salt(wheel.paste.mean(track.salt(end)))
    still_on = track.left_on(end) / FACE_RETENTION
    from_brine = track.taken_from_brine(0.0, end)
    assert from_brine + put_on == pytest.approx(inside + gone + still_on, abs=1e-7)


@given(histories(), st.floats(0.0, 60 * H), st.floats(0.0, 60 * H))
def test_the_mean_never_jumps(history: list[Happening], one: float, other: float) -> None:
    # 0.1 s takes up at most what a fresh paste does; a jump would be a lost or a made gram.
    track = Track.of(uptake(), PLACES, history)
    for at in (one, other, *(happening.at for happening in history[1:])):
        assert track.mean(at + 0.1) == pytest.approx(track.mean(at), abs=0.04)
        assert track.mean(at) == pytest.approx(track.uptake.paste.mean(track.salt(at)), abs=1e-9)


@given(histories())
def test_a_track_made_at_once_is_the_one_made_step_by_step(history: list[Happening]) -> None:
    track = Track.of(uptake(), PLACES, history[:1])
    for happening in history[1:]:
        track.mean(happening.at + 40 * H)  # Looking ahead must leave no trace.
        track = track.then(happening)
    end = history[-1].at + 10 * H
    at_once = Track.of(uptake(), PLACES, history)
    np.testing.assert_allclose(track.salt(end), at_once.salt(end), atol=1e-9)


@given(histories(), st.lists(st.floats(0.0, 60 * H), max_size=6))
def test_brine_that_is_read_again_unchanged_changes_nothing(
    history: list[Happening], times: list[float]
) -> None:
    def read_again(where: Surroundings) -> Surroundings:
        strengths = {at: where.strength(at) or 0.0 for at in times} | dict(where.strengths)
        return Surroundings(WARMTH, tuple(sorted(strengths.items())))

    cut = {name: read_again(PLACES[name]) for name in ("tub", "other tub")}
    end = history[-1].at + 10 * H
    whole = Track.of(uptake(), PLACES, history)
    pieces = Track.of(uptake(), {**PLACES, **cut}, history)
    np.testing.assert_allclose(pieces.salt(end), whole.salt(end), atol=1e-8)
    assert pieces.mean(end) == pytest.approx(whole.mean(end), abs=1e-9)


@given(st.lists(st.floats(60.0, 9 * H), min_size=1, max_size=5), st.booleans())
def test_ten_hours_are_the_same_in_one_piece_or_in_many(pieces: list[float], salted: bool) -> None:
    where = tub((0.0, 20.0))
    on = [Happening(0.0, Event.SALTED, "tub", PLENTY)] if salted else []
    whole = Track.of(uptake(), where, [IN, *on])
    cut = whole
    for at in sorted(pieces):
        cut = cut.amid(at, where)
    boundary = 0.85 * 35.8
    np.testing.assert_allclose(cut.salt(10 * H), whole.salt(10 * H), atol=1e-10 * boundary)
    assert cut.flat(10 * H) == pytest.approx(whole.flat(10 * H), abs=1e-9)


RISING = [(0.0, 16.0), (10 * H, 18.0), (20 * H, 18.5), (40 * H, 24.0)]


@given(histories(salted=False), st.floats(0.0, 80 * H), st.floats(0.0, 20 * H))
def test_uptake_never_falls_while_the_brine_is_the_stronger(
    history: list[Happening], at: float, more: float
) -> None:
    # Every face is wet or bare, the barrier is off, and the brine only grows stronger.
    rising = Surroundings(WARMTH, tuple(RISING), barrier=math.inf)
    places = {"tub": rising, "other tub": rising, "tray": PLACES["tray"]}
    track = Track.of(uptake(), places, history)
    assert track.mean(at + more) >= track.mean(at) - 1e-10


@given(
    histories(salted=False),
    st.floats(0.0, 80 * H),
    st.floats(0.1, 5.0),
    st.sampled_from([WHEEL, Sphere(16.0), Cylinder(30.0, 6.0)]),
)
def test_stronger_brine_never_gives_less(
    history: list[Happening], at: float, more: float, shape: Shape
) -> None:
    def mean(extra: float) -> float:
        strengths = tuple((since, strength + extra) for since, strength in RISING)
        brine = Surroundings(WARMTH, strengths, barrier=math.inf)
        places = {"tub": brine, "other tub": brine, "tray": PLACES["tray"]}
        return Track.of(uptake(shape), places, history).mean(at)

    assert mean(more) >= mean(0.0) - 1e-10


@given(
    st.lists(st.floats(0.5 * H, 30 * H), max_size=4),
    st.floats(0.0, 80 * H),
    st.floats(1.0, 5.0),
    st.booleans(),
)
def test_a_faster_paste_never_takes_up_less(
    gaps: list[float], more: float, faster: float, floats: bool
) -> None:
    # In one dip, turned or not. With rests in between it may: what evens out towards the
    # other face is in its way when that one is under.
    times = np.cumsum(gaps)
    history = [IN, *(Happening(at, Event.TURNED, "tub") for at in times.tolist())]
    end = float(sum(gaps)) + more
    usual, fast = (
        Track.of(uptake(diffusivity=d, floats=floats), tub((0.0, 20.0)), history).mean(end)
        for d in (0.18, 0.18 * faster)
    )
    assert fast >= usual - 1e-10


def test_temperature_that_swings_is_one_with_the_same_clock() -> None:
    minutes = [60.0 * n for n in range(3 * 1440)]
    swinging = WarmthRecord(minutes, [13 + 5 * math.sin(math.tau * at / 24 / H) for at in minutes])
    end = 50 * H
    days = swinging.days(0.0, end)
    # Two stretches of constant temperature, far from the record's, with the same sum.
    warm, cold = (WarmthRecord([0.0], [t]).days(0.0, end) for t in (20.0, 5.0))
    share = (days - cold) / (warm - cold)
    constant = WarmthRecord([0.0, share * end], [20.0, 5.0])
    assert constant.days(0.0, end) == pytest.approx(days, rel=1e-12)
    salts = [
        Track.of(uptake(), {"tub": Surroundings(warmth, ((0.0, 20.0),))}, [IN]).salt(end)
        for warmth in (swinging, constant)
    ]
    np.testing.assert_allclose(*salts, atol=1e-10 * 21)


def test_an_upper_face_without_salt_stays_bare() -> None:
    track = Track.of(uptake(), tub((0.0, 20.0)), [IN])
    top, bottom = track.flat(10 * H)
    assert top == 0.0
    assert bottom > 0.0


def test_too_little_salt_on_the_face_runs_out_and_leaves_it_bare() -> None:
    little = Happening(0.0, Event.SALTED, "tub", 6.0)
    track = Track.of(uptake(), tub((0.0, 20.0)), [IN, little])
    out = track.used_up(0.0)
    assert 1 * H < out < 20 * H
    assert track.left_on(out - 60.0) > 0.0
    assert track.left_on(out + 60.0) == 0.0
    taken = track.flat(out)[0]
    assert track.uptake.body.salt(taken) == pytest.approx(FACE_RETENTION * 6.0, rel=1e-6)
    assert track.flat(out + 10 * H)[0] == pytest.approx(taken, rel=1e-6)


def test_what_is_left_on_a_face_turned_under_washes_off() -> None:
    plenty = Happening(0.0, Event.SALTED, "tub", 50.0)
    track = Track.of(uptake(), tub((0.0, 20.0)), [IN, plenty])
    went_in = track.uptake.body.salt(track.flat(8 * H)[0])
    assert track.washed_off(8 * H) == pytest.approx(50.0 - went_in / FACE_RETENTION, abs=1e-6)
    turned = track.then(Happening(8 * H, Event.TURNED, "tub"))
    assert turned.left_on(8 * H) == 0.0
    assert turned.flat(20 * H)[0] == pytest.approx(track.flat(8 * H)[1], rel=1e-9)


def test_a_turn_tells_top_and_bottom_as_the_wheel_lay_before() -> None:
    track = Track.of(uptake(), tub((0.0, 20.0)), [IN, Happening(8 * H, Event.TURNED, "tub")])
    assert track.flat(8 * H)[0] == 0.0
    assert track.flat(8 * H + 1.0)[0] > 0.0
    assert track.amid(8 * H, track.surroundings).flat(9 * H) == pytest.approx(
        track.flat(9 * H), abs=1e-9
    )


def test_a_wheel_out_of_the_brine_only_evens_out_and_with_its_own_diffusivity() -> None:
    history = [IN, Happening(10 * H, Event.OUT, "tray")]
    track = Track.of(uptake(), PLACES, history)
    assert track.mean(500 * H) == pytest.approx(track.mean(10 * H), rel=1e-10)
    paste = track.uptake.paste
    days = WARMTH.days(10 * H, 60 * H)
    alone = paste.course(track.salt(10 * H), {}).salt(0.18 * days)
    np.testing.assert_allclose(track.salt(60 * H), alone, atol=1e-9)


def test_coats_of_dry_salt_leave_the_retained_part() -> None:
    coats = [Happening(hours * H, Event.SALTED, "tray", 12.0) for hours in (0.0, 12.0, 24.0)]
    track = Track.of(uptake(), PLACES, [Happening(0.0, Event.IN, "tray"), *coats])
    end = track.used_up(24 * H)
    assert 24 * H < end < 30 * 24 * H
    assert track.uptake.body.salt(track.mean(end + H)) == pytest.approx(0.65 * 36.0, rel=1e-6)


@pytest.mark.parametrize("dry", [0.05, 0.15])
def test_a_rolled_ball_takes_up_less_by_its_dry_share(dry: float) -> None:
    def mean(share: float) -> float:
        ball = uptake(Sphere(16.0), dry=share)
        return Track.of(ball, tub((0.0, 20.0)), [IN]).mean(6 * H)

    assert mean(dry) == pytest.approx((1 - dry) * mean(0.0), rel=0.02)


def test_salt_on_a_wheel_held_under_or_on_a_ball_does_nothing_to_the_wheel() -> None:
    on = Happening(0.0, Event.SALTED, "tub", 20.0)
    for wheel in (uptake(floats=False), uptake(Sphere(16.0))):
        assert Face.TOP not in wheel.paste.faces or not wheel.floats
        plain, salted = (Track.of(wheel, tub((0.0, 20.0)), [IN, *more]) for more in ([], [on]))
        assert salted.mean(9 * H) == plain.mean(9 * H)
