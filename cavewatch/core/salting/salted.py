"""A wheel's salting as it was and as it is planned: one walk through all of it.

Between two happenings each face is wet, under salt or bare:

* in brine every face is wet; on a wheel that floats the top is bare, or under
  salt until what was put on it is taken up;
* in dry salt every face is under salt until the coats so far are taken up.

Of the salt put on, the retained part is taken up and the rest drains away.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Self

from cavewatch.core.salting.axis import Array
from cavewatch.core.salting.crossing import crossing, first_crossing
from cavewatch.core.salting.paste import Course, Face, Faces, Paste
from cavewatch.core.salting.surroundings import Surroundings, under_salt
from cavewatch.core.wheel import Event, Happening

FACE_RETENTION = 0.65
"""Part of the salt on a floating face that goes in; nothing read, 0.5 to 0.8 from memory."""


@dataclass(frozen=True, slots=True)
class Uptake:
    """How one wheel takes up salt: its shape, and one guess at its paste."""

    paste: Paste
    diffusivity: float
    """At 12 degC, the rate factor included [cm2/day]."""
    water: float
    """Water in the wheel [g]; held constant."""
    retention: float
    """Part of a dry coat that goes in [-]."""
    floats: bool


@dataclass(frozen=True, slots=True)
class State:
    """One wheel at one moment of its salting."""

    at: float
    """[s since 1970 UTC]"""
    salt: Array
    """Salt in moisture in every cell [g per 100 g water]."""
    place: str
    film: float = 0.0
    """Salt on the faces under salt that will still go in [g]."""
    out: bool = False
    """Its salting is over."""


@dataclass(frozen=True, slots=True)
class Track:
    """One guess at a wheel's salting: the state just after each happening, in order."""

    uptake: Uptake
    surroundings: Mapping[str, Surroundings]
    states: tuple[State, ...]

    @classmethod
    def of(
        cls, uptake: Uptake, surroundings: Mapping[str, Surroundings], history: Sequence[Happening]
    ) -> Self:
        """The track of a history, whose first happening must be the going in."""
        first, *rest = history
        track = cls(uptake, surroundings, (State(first.at, uptake.paste.fresh(), first.place),))
        for happening in rest:
            track = track.then(happening)
        return track

    def then(self, happening: Happening) -> Self:
        """The track with one more happening."""
        state = _after(self.uptake, self.surroundings, self.state(happening.at), happening)
        return replace(self, states=(*self.states, state))

    def state(self, at: float) -> State:
        """The wheel at a time, from the last happening before it."""
        last = next((s for s in reversed(self.states) if s.at <= at), self.states[0])
        return advanced(self.uptake, self.surroundings, last, at)

    def mean(self, at: float) -> float:
        """Mean salt in moisture at a time [g per 100 g water]."""
        return self.uptake.paste.mean(self.state(at).salt)


def advanced(
    uptake: Uptake, surroundings: Mapping[str, Surroundings], state: State, until: float
) -> State:
    """The wheel at a later time if nothing happens to it."""
    where = surroundings[state.place]
    while state.at < until:
        stop = min([*where.changes(state.at, until), until])
        faces, salted = _faces(uptake, where, state)
        if not faces:
            return replace(state, at=until)
        course = uptake.paste.course(state.salt, faces)
        film = state.film
        if salted:
            taken = partial(_taken, uptake, where, state.at, course, salted)
            spent = taken(stop)
            if spent >= film:
                stop, film = crossing(taken, film, state.at, stop), 0.0
            else:
                film -= spent
        tau = _tau(uptake, where, state.at, stop)
        state = replace(state, at=stop, salt=course.salt(tau), film=film)
    return state


def spent_at(
    uptake: Uptake, surroundings: Mapping[str, Surroundings], state: State
) -> float | None:
    """When the salt on the wheel's faces is taken up, if nothing else happens [s since 1970 UTC].

    None if there is none on it now or it would last longer than anybody waits.
    """
    where = surroundings[state.place]
    faces, salted = _faces(uptake, where, state)
    if not salted:
        return None
    course = uptake.paste.course(state.salt, faces)
    taken = partial(_taken, uptake, where, state.at, course, salted)
    return first_crossing(taken, state.film, state.at)


def face_dose(
    uptake: Uptake, surroundings: Mapping[str, Surroundings], state: State, until: float
) -> float:
    """Salt to put on the face that stands out so that it lasts until then [g]."""
    where = surroundings[state.place]
    faces, salted = _faces(uptake, where, replace(state, film=1.0))
    course = uptake.paste.course(state.salt, faces)
    return _taken(uptake, where, state.at, course, salted, until) / FACE_RETENTION


def _after(
    uptake: Uptake, surroundings: Mapping[str, Surroundings], state: State, happening: Happening
) -> State:
    brined = surroundings[state.place].strength(state.at) is not None
    match happening.event:
        case Event.TURNED:
            # The salted face goes under: what is left on it dissolves in the brine.
            left = 0.0 if brined else state.film
            return replace(state, salt=uptake.paste.turned(state.salt), film=left)
        case Event.SALTED:
            retained = FACE_RETENTION if brined else uptake.retention
            return replace(state, film=state.film + retained * happening.grams)
        case Event.IN:
            return replace(state, place=happening.place, film=0.0, out=False)
        case Event.OUT:
            return replace(state, place=happening.place, film=0.0, out=True)


def _faces(uptake: Uptake, where: Surroundings, state: State) -> tuple[Faces, tuple[Face, ...]]:
    """What each held face is held at, and which of them are under salt."""
    if state.out:
        return {}, ()
    wet = where.wet(state.at)
    if wet is None:
        salted = uptake.paste.faces if state.film > 0 else ()
        return dict.fromkeys(salted, under_salt()), salted
    faces = dict.fromkeys(uptake.paste.faces, wet)
    if not uptake.floats or Face.TOP not in faces:
        return faces, ()
    if state.film > 0:
        return {**faces, Face.TOP: under_salt()}, (Face.TOP,)
    del faces[Face.TOP]
    return faces, ()


def _tau(uptake: Uptake, where: Surroundings, start: float, end: float) -> float:
    return uptake.diffusivity * where.warmth.days(start, end)


def _taken(
    uptake: Uptake,
    where: Surroundings,
    start: float,
    course: Course,
    faces: tuple[Face, ...],
    end: float,
) -> float:
    """Salt taken up through these faces from start to end [g]."""
    tau = _tau(uptake, where, start, end)
    return sum(course.through(face, tau) for face in faces) / 100.0 * uptake.water
