"""A wheel's salting as it was and as it is planned: one walk through all of it.

Between two happenings each face is wet, under salt or bare:

* in brine every face is wet; on a wheel that floats the top is bare, or under
  salt until what was put on it is taken up;
* in dry salt every face is under salt until the coats so far are taken up.

Of the salt put on, the retained part is taken up and the rest drains away.
"""

import math
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

PLENTY = math.inf
"""Salt that lasts whatever comes [g]."""


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
    spent: State | None = None
    """The wheel when the salt on it is taken up, if nothing happens before; None if there
    is none on it, or plenty."""

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
        state = self.state(happening.at)
        brined = self.surroundings[state.place].strength(state.at) is not None
        match happening.event:
            case Event.TURNED:
                # The salted face goes under: what is left on it dissolves in the brine.
                left = 0.0 if brined else state.film
                state = replace(state, salt=self.uptake.paste.turned(state.salt), film=left)
            case Event.SALTED:
                retained = FACE_RETENTION if brined else self.uptake.retention
                state = replace(state, film=state.film + retained * happening.grams)
            case Event.IN:
                state = replace(state, place=happening.place, film=0.0, out=False)
            case Event.OUT:
                state = replace(state, place=happening.place, film=0.0, out=True)
        spent = _spent(self.uptake, self.surroundings[state.place], state)
        return replace(self, states=(*self.states, state), spent=spent)

    def state(self, at: float) -> State:
        """The wheel at a time."""
        before = self._before(at)
        return _advanced(self.uptake, self.surroundings[before.place], before, at)

    def mean(self, at: float) -> float:
        """Mean salt in moisture at a time [g per 100 g water]."""
        before = self._before(at)
        where = self.surroundings[before.place]
        for change in where.changes(before.at, at):
            before = _advanced(self.uptake, where, before, change)
        faces, _ = _faces(self.uptake, where, before)
        if not faces:
            return self.uptake.paste.mean(before.salt)
        course = self.uptake.paste.course(before.salt, faces)
        return course.mean(_tau(self.uptake, where, before.at, at))

    def _before(self, at: float) -> State:
        """The last state from which nothing changes until then."""
        if self.spent is not None and self.spent.at <= at:
            return self.spent
        return next((s for s in reversed(self.states) if s.at <= at), self.states[0])


def face_dose(
    uptake: Uptake, surroundings: Mapping[str, Surroundings], state: State, until: float
) -> float:
    """Salt to put on the face that stands out so that it lasts until then [g]."""
    where = surroundings[state.place]
    faces, salted = _faces(uptake, where, replace(state, film=PLENTY))
    course = uptake.paste.course(state.salt, faces)
    return _taken(uptake, where, state.at, course, salted, until) / FACE_RETENTION


def _advanced(uptake: Uptake, where: Surroundings, state: State, until: float) -> State:
    """The wheel at a later time; its salt must last until then."""
    for stop in [*where.changes(state.at, until), until]:
        faces, salted = _faces(uptake, where, state)
        if not faces:
            return replace(state, at=until)
        course = uptake.paste.course(state.salt, faces)
        film = state.film
        if 0 < film < PLENTY:
            film -= _taken(uptake, where, state.at, course, salted, stop)
        salt = course.salt(_tau(uptake, where, state.at, stop))
        state = replace(state, at=stop, salt=salt, film=max(film, 0.0))
    return state


def _spent(uptake: Uptake, where: Surroundings, state: State) -> State | None:
    """The wheel when the salt on it is taken up; None if there is none or nobody would wait."""
    if not 0 < state.film < PLENTY:
        return None
    changes = where.changes(state.at, math.inf)
    for stop in [*changes, math.inf]:
        faces, salted = _faces(uptake, where, state)
        course = uptake.paste.course(state.salt, faces)
        taken = partial(_taken, uptake, where, state.at, course, salted)
        if stop == math.inf:
            end = first_crossing(taken, state.film, state.at)
        elif taken(stop) >= state.film:
            end = crossing(taken, state.film, state.at, stop)
        else:
            state = _advanced(uptake, where, state, stop)
            continue
        if end is None:
            return None
        salt = course.salt(_tau(uptake, where, state.at, end))
        return replace(state, at=end, salt=salt, film=0.0)
    return None


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
    return course.gained(faces, tau) / 100.0 * uptake.water
