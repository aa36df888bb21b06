"""A wheel in brine: salt the face that stands out, turn it, lift at the target."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cavewatch.core.countdown import Action, Span, Step
from cavewatch.core.salting.crossing import HORIZON, crossing, first_crossing
from cavewatch.core.salting.guesses import Guesses, spread
from cavewatch.core.salting.paste import Face
from cavewatch.core.salting.salted import PLENTY, Track, face_dose
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.salting.turning import Turning, turned, turning
from cavewatch.core.wheel import Event, Happening, Wheel

ENOUGH = 0.1
"""Salt on a face that is used up with this part of its time to go was enough; judgement."""


@dataclass(frozen=True, slots=True)
class Solved:
    """A wheel in salt, worked out."""

    tracks: list[Track]
    """Slow, expected and fast, up to now and on as if nobody came."""
    ahead: list[Track]
    """The same with all that is left to do done as expected."""
    steps: list[Step]
    """What is left to do; the last is the lift."""
    caution: str


def solved(
    wheel: Wheel,
    surroundings: Mapping[str, Surroundings],
    guesses: Guesses,
    level: float,
    at: float,
    salted: bool = True,
) -> Solved:
    """What is left to do with a wheel in brine.

    Args:
        wheel: in brine.
        surroundings: of every place in its history.
        guesses: at its paste.
        level: mean of the field at the lift [g per 100 g initial water].
        at: now [s since 1970 UTC].
        salted: whether the face that stands out of the brine is salted.
    """
    tracks = [Track.of(guess, surroundings, wheel.history) for guess in guesses]
    where = surroundings[wheel.place]
    expected = tracks[1]
    if expected.mean(at) >= level:
        lifts = [_reached(track, track, level, wheel.history[0].at, at) for track in tracks]
        lift = Step(Action.LIFT, spread(lifts))
        return Solved(tracks, tracks, [lift], _caution(where, at, unreached=False))

    dip = since_last(wheel.history, {Event.IN})
    side_up = since_last(wheel.history, {Event.IN, Event.TURNED})
    afloat = wheel.floats
    face = salted and afloat and Face.TOP in expected.uptake.paste.faces
    covered = Happening(at, Event.SALTED, wheel.place, PLENTY)
    planned = [track.then(covered) for track in tracks] if face else tracks

    def lifted(track: Track) -> float:
        return _reached(expected, track, level, dip[0].at, at)

    plan = Turning((), 0.0, planned[1])
    if afloat:
        done = sum(happening.event is Event.TURNED for happening in dip)
        plan = turning(planned[1], lifted, dip[0].at, wheel.history[-1].at, done, salted)
    due = _overdue_once(plan.turns, at)
    turns = tuple(max(turn, at) for turn in due)
    ahead = [
        plan.track if index == 1 and turns == plan.turns else turned(track, turns, salted)
        for index, track in enumerate(planned)
    ]
    lifts = [
        _reached(track, then, level, dip[0].at, at)
        for track, then in zip(tracks, ahead, strict=True)
    ]
    steps = []
    stops = (*turns, lifts[1])
    bare = _bare_from(expected, side_up)
    if face and stops[0] - max(bare, at) > ENOUGH * (stops[0] - side_up[0].at):
        lying = [track.washed_off(at) for track in tracks]
        steps.append(_face_step(planned, bare, at, stops[0], lying))
    length = lifts[1] - dip[0].at
    for asked_at, turn, until in zip(due, turns, stops[1:], strict=True):
        share = (asked_at - dip[0].at) / length
        ends = [dip[0].at + share * (end - dip[0].at) for end in lifts]
        steps.append(Step(Action.TURN, spread([ends[0], asked_at, ends[2]])))
        if face:
            steps.append(_face_step(ahead, asked_at, turn, until))
    steps.append(Step(Action.LIFT, spread(lifts)))
    return Solved(tracks, ahead, steps, _caution(where, at, unreached=max(lifts) >= at + HORIZON))


def _overdue_once(turns: tuple[float, ...], at: float) -> tuple[float, ...]:
    """The turns without those that were missed and that a later one, missed too, makes up for."""
    missed = [turn for turn in turns if turn < at]
    return (*missed[-1:], *(turn for turn in turns if turn >= at))


def _bare_from(track: Track, side_up: tuple[Happening, ...]) -> float:
    """When the face on top has no salt: since it came up, or from when its salt is used up."""
    coats = [happening.at for happening in side_up if happening.event is Event.SALTED]
    return track.used_up(coats[-1]) if coats else side_up[0].at


def _face_step(
    tracks: list[Track],
    asked_at: float,
    at: float,
    until: float,
    lying: Sequence[float] = (0.0, 0.0, 0.0),
) -> Step:
    """Salt the face, with as much as it will want until then beyond what lies on it [g]."""
    doses = [
        max(face_dose(track, at, until) - there, 0.0)
        for track, there in zip(tracks, lying, strict=True)
    ]
    return Step(Action.SALT_FACE, custom(asked_at), spread(doses))


def _reached(track: Track, planned: Track, level: float, start: float, at: float) -> float:
    """When the mean reaches the level: in the past by the record, else as planned."""
    if track.mean(at) >= level:
        return crossing(track.mean, level, start, at)
    reached = first_crossing(planned.mean, level, at)
    return at + HORIZON if reached is None else reached


def since_last(history: tuple[Happening, ...], events: set[Event]) -> tuple[Happening, ...]:
    """The end of the history from the last of these events on."""
    index = max(i for i, happening in enumerate(history) if happening.event in events)
    return history[index:]


def custom(at: float) -> Span:
    """A time that custom sets: no band."""
    return Span(at, at, at)


def _caution(where: Surroundings, at: float, unreached: bool) -> str:
    if unreached:
        return "this brine does not bring the wheel to its target; make it stronger or warmer"
    strength = where.strength(at)
    if strength is not None and strength > where.barrier:
        return (
            f"brine above {where.barrier:g} % dries the surface and may even salt more slowly; "
            f"it is counted as {where.barrier:g} %"
        )
    return ""
