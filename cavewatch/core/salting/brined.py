"""A wheel in brine: salt the face that stands out, turn half way, lift at the target."""

from collections.abc import Callable, Mapping

from cavewatch.core.countdown import Action, Span, Step
from cavewatch.core.salting.crossing import HORIZON, crossing, first_crossing
from cavewatch.core.salting.guesses import guesses, spread
from cavewatch.core.salting.paste import Face
from cavewatch.core.salting.salted import PLENTY, Track, face_dose
from cavewatch.core.salting.surroundings import BARRIER, Surroundings
from cavewatch.core.wheel import Event, Happening, Wheel


def steps(
    wheel: Wheel, surroundings: Mapping[str, Surroundings], at: float
) -> tuple[list[Track], list[Step], str]:
    """Tracks up to now (slow, expected, fast), what is left to do, and a caution.

    Args:
        wheel: in brine.
        surroundings: of every place in its history.
        at: now [s since 1970 UTC].
    """
    strength = surroundings[wheel.place].strength(at) or 0.0
    tracks = [
        Track.of(uptake, surroundings, wheel.history)
        for uptake in guesses(wheel, beyond_barrier=strength > BARRIER)
    ]
    level = wheel.style.salt.value * 100.0 / wheel.style.moisture.value
    dip = _since_last(wheel.history, {Event.IN})
    start = dip[0].at
    to_turn = wheel.floats and not any(h.event is Event.TURNED for h in dip)
    bare = _bare_face(wheel, tracks[1])
    if bare:
        salted = Happening(at, Event.SALTED, wheel.place, PLENTY)
        planned = [track.then(salted) for track in tracks]
    else:
        planned = tracks

    def turned(track: Track, turn_at: float) -> Track:
        track = track.then(Happening(turn_at, Event.TURNED, wheel.place))
        return track.then(Happening(turn_at, Event.SALTED, wheel.place, PLENTY))

    def half_way(lift_at: float) -> float:
        return start + (lift_at - start) / 2

    def expected_mean(lift_at: float) -> float:
        track = planned[1]
        if to_turn:
            track = turned(track, max(at, half_way(lift_at)))
        return track.mean(lift_at)

    expected = _reached(tracks[1], expected_mean, level, start, at)
    turn_at = half_way(expected)
    lifts = []
    for track, plan in zip(tracks, planned, strict=True):
        ahead = turned(plan, max(at, turn_at)) if to_turn and expected > at else plan
        lifts.append(
            expected if track is tracks[1] else _reached(track, ahead.mean, level, start, at)
        )
    found: list[Step] = []
    if expected > at:
        turning = max(at, turn_at)
        if bare:
            until = turning if to_turn else expected
            doses = [face_dose(t.uptake, surroundings, t.state(at), until) for t in tracks]
            asked_at = _since_last(wheel.history, {Event.IN, Event.TURNED})[0].at
            found.append(Step(Action.SALT_FACE, _custom(asked_at), spread(doses)))
        if to_turn:
            found.append(Step(Action.TURN, _custom(turn_at)))
            if Face.TOP in tracks[1].uptake.paste.faces:
                over = [turned(plan, turning).state(turning) for plan in planned]
                doses = [
                    face_dose(t.uptake, surroundings, s, expected)
                    for t, s in zip(tracks, over, strict=True)
                ]
                found.append(Step(Action.SALT_FACE, _custom(turn_at), spread(doses)))
    found.append(Step(Action.LIFT, spread(lifts)))
    return tracks, found, _caution(strength, max(lifts) >= at + HORIZON)


def _reached(
    track: Track, planned: Callable[[float], float], level: float, start: float, at: float
) -> float:
    """When the mean reaches the level: in the past by the record, else as planned."""
    if track.mean(at) >= level:
        return crossing(track.mean, level, start, at)
    reached = first_crossing(planned, level, at)
    return at + HORIZON if reached is None else reached


def _bare_face(wheel: Wheel, track: Track) -> bool:
    """Whether a face stands out that nobody has salted since it came up."""
    if not wheel.floats or Face.TOP not in track.uptake.paste.faces:
        return False
    side_up = _since_last(wheel.history, {Event.IN, Event.TURNED})
    return not any(happening.event is Event.SALTED for happening in side_up)


def _since_last(history: tuple[Happening, ...], events: set[Event]) -> tuple[Happening, ...]:
    """The end of the history from the last of these events on."""
    index = max(i for i, happening in enumerate(history) if happening.event in events)
    return history[index:]


def _custom(at: float) -> Span:
    """A time that custom sets: no band."""
    return Span(at, at, at)


def _caution(strength: float, never: bool) -> str:
    if never:
        return "this brine does not bring the wheel to its target; make it stronger or warmer"
    if strength > BARRIER:
        return (
            f"brine above {BARRIER:g} % dries the surface and may even salt more slowly; "
            f"it is counted as {BARRIER:g} %"
        )
    return ""
