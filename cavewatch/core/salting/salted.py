"""A wheel's salting as it was and as it is planned: one walk through all of it.

The walk is made of legs, within which nothing changes but time. Between two
happenings each face is wet, under salt or bare:

* in brine every face is wet; on a wheel that floats the top is bare, or under
  salt until what was put on it is used up;
* in dry salt every face is under salt until the coats so far are used up.

A coat keeps its face under a saturated film while it lasts. What comes out of
the cheese dissolves it: for every gram that goes in, another part drains away
with the water that it drew out, so that a coat is used up at 1 / retention
times the rate at which salt goes in. What is left on a face that is turned
under dissolves in the brine. A ball has no flat face: it is rolled, counts as
wet all round, and takes up as much less as its dry share says.

While a face takes up salt the diffusivity has the wheel's rate factor; a wheel
that only rests evens out with the paste's own.
"""

import math
from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby
from typing import Self

from cavewatch.core.salting.axis import Array
from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.clock import WarmStart
from cavewatch.core.salting.crossing import EXACT, crossing, first_crossing
from cavewatch.core.salting.paste import Course, Face, Faces, Held, Paste
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.wheel import Event, Happening

FACE_RETENTION = 0.65
"""Part of the salt on a floating face that goes in; nothing read, 0.5 to 0.8 from memory."""

PLENTY = math.inf
"""Salt that lasts whatever comes [g]."""


@dataclass(frozen=True, slots=True)
class Uptake:
    """How one wheel takes up salt: its shape, and one guess at its paste."""

    paste: Paste
    body: Body
    diffusivity: float
    """Of the paste at 12 degC [cm2/day]."""
    rate: float
    """Factor on it while a face takes up salt in brine [-]."""
    dry_rate: float
    """The same under dry salt [-]."""
    retention: float
    """Part of a dry coat that goes in [-]."""
    floats: bool
    dry: float = 0.0
    """Share of a floating ball's surface that stands out [-]."""
    start: WarmStart | None = None
    """Where the wheel was not as warm as its surroundings when it went in."""


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch of the walk: the wheel at its beginning, and what its faces meet from then on."""

    at: float
    """[s since 1970 UTC]"""
    place: str
    course: Course
    salted: tuple[Face, ...]
    """The faces under salt."""
    film: float
    """Salt on them that will still go in [g]."""
    out: bool
    """Its salting is over."""
    turned: bool
    """Whether it begins with the wheel upside down to the leg before."""
    until: float
    """When the leg ends by itself [s since 1970 UTC]; infinite if it does not."""


class Track:
    """One guess at a wheel's salting."""

    def __init__(
        self, uptake: Uptake, surroundings: Mapping[str, Surroundings], legs: Sequence[Leg]
    ) -> None:
        """Use `of`."""
        self.uptake = uptake
        self.surroundings = surroundings
        self._legs = list(legs)

    @classmethod
    def of(
        cls, uptake: Uptake, surroundings: Mapping[str, Surroundings], history: Sequence[Happening]
    ) -> Self:
        """The track of a history, whose first happening must be the going in."""
        first, *rest = [tuple(each) for _, each in groupby(history, key=lambda each: each.at)]
        track = cls(uptake, surroundings, [])
        place, film, out, over = track._after(first, first[0].place, 0.0, out=False)
        begun = partial(uptake.paste.course, uptake.paste.fresh())
        track._legs = [track._leg(first[0].at, place, begun, film, out, over)]
        for together in rest:
            track = track.then(*together)
        return track

    def then(self, *happenings: Happening) -> Self:
        """The track with more happenings, all at one time and in this order."""
        at = happenings[0].at
        leg = self._at(at)
        place, film, out, over = self._after(happenings, leg.place, self._left(leg, at), leg.out)
        before = [leg for leg in self._legs if leg.at <= at]
        track = type(self)(self.uptake, self.surroundings, before)
        begun = partial(leg.course.later, self._tau(leg, at), turned=over)
        track._legs.append(track._leg(at, place, begun, film, out, over))
        return track

    def mean(self, at: float) -> float:
        """Mean salt in moisture at a time [g per 100 g initial water]."""
        leg = self._at(at)
        return leg.course.mean(self._tau(leg, at))

    def where(self, at: float) -> tuple[str, bool]:
        """The place that the wheel is in at a time, and whether its salting is over."""
        leg = self._at(at)
        return leg.place, leg.out

    def salt(self, at: float) -> Array:
        """The same in every cell."""
        leg = self._at(at)
        return leg.course.salt(self._tau(leg, at))

    def flat(self, at: float) -> tuple[float, float]:
        """What the faces on top and below at a time have taken up [g per 100 g initial water].

        At the time of a turn it is told as the wheel lay before.
        """
        top = bottom = 0.0
        for leg, end in self._stretches(at):
            if leg.turned:
                top, bottom = bottom, top
            tau = self._tau(leg, end)
            top += _through(leg, Face.TOP, tau)
            bottom += _through(leg, Face.BOTTOM, tau)
        return top, bottom

    def on_top(self, start: float, end: float) -> float:
        """What the upper face takes up between two happenings [g per 100 g initial water]."""
        legs = [(leg, stop) for leg, stop in self._stretches(end) if leg.at >= start]
        return sum(_through(leg, Face.TOP, self._tau(leg, stop)) for leg, stop in legs)

    def taken_from_brine(self, start: float, end: float) -> float:
        """Salt that leaves the brine for the wheel from one time to another [g].

        What goes in through a salted face comes from that salt, and what washes off it
        goes into the brine; so does what is left on a face that is turned under.
        """
        taken = 0.0
        for leg, stop in self._stretches(end):
            if stop <= start or leg.out or not self.surroundings[leg.place].brined:
                continue
            begin, over = self._tau(leg, max(leg.at, start)), self._tau(leg, stop)
            gained = leg.course.mean(over) - leg.course.mean(begin)
            on_top = sum(
                leg.course.through(face, over) - leg.course.through(face, begin)
                for face in leg.salted
            )
            taken += self.uptake.body.salt(gained - on_top / FACE_RETENTION)
        return taken

    def washed_off(self, at: float) -> float:
        """Salt that lies on the face that floats, and dissolves if the wheel is turned then [g]."""
        left = self.left_on(at)
        return 0.0 if left == PLENTY else left / FACE_RETENTION

    def amid(self, at: float, surroundings: Mapping[str, Surroundings]) -> Self:
        """The same wheel whose surroundings are others from a time on, and the same before."""
        leg = self._at(at)
        before = [leg for leg in self._legs if leg.at < at]
        track = type(self)(self.uptake, surroundings, before)
        track._legs.append(track._changed(leg, at, self._left(leg, at), self._tau(leg, at)))
        return track

    def left_on(self, at: float) -> float:
        """Salt on the faces under salt that will still go in [g]."""
        return self._left(self._at(at), at)

    def bare(self, at: float) -> float:
        """How long the upper face stood out of the brine without salt until a time [s]."""
        return sum(
            end - leg.at
            for leg, end in self._stretches(at)
            if self.surroundings[leg.place].brined
            and not leg.out
            and Face.TOP in self.uptake.paste.faces
            and Face.TOP not in leg.course.faces
        )

    def used_up(self, at: float) -> float:
        """When the salt that is on at a time is used up [s]; infinite if it is not, or plenty."""
        leg = self._at(at)
        while leg.salted:
            if leg.until == math.inf:
                return math.inf
            leg = self._at(leg.until)
        return leg.at

    def _after(
        self, happenings: Sequence[Happening], place: str, film: float, out: bool
    ) -> tuple[str, float, bool, bool]:
        """Where these leave the wheel, with what salt, whether out, and whether upside down."""
        over = False
        for happening in happenings:
            brined = self.surroundings[place].brined
            match happening.event:
                case Event.TURNED:
                    # The salted face goes under: what is left on it dissolves in the brine.
                    film, over = 0.0 if brined else film, not over
                case Event.SALTED:
                    retained = FACE_RETENTION if brined else self.uptake.retention
                    film += retained * happening.grams
                case Event.IN:
                    place, film, out = happening.place, 0.0, False
                case Event.OUT:
                    place, film, out = happening.place, 0.0, True
        return place, film, out, over

    def _stretches(self, at: float) -> list[tuple[Leg, float]]:
        """The legs until a time, each with its end; none until the going in."""
        self._at(at)
        legs = [leg for leg in self._legs if leg.at < at]
        return list(zip(legs, [*(leg.at for leg in legs[1:]), at], strict=False))

    def _at(self, at: float) -> Leg:
        """The leg that a time lies in; the walk goes on as far as it is asked for."""
        while self._legs[-1].until <= at:
            self._legs.append(self._next(self._legs[-1]))
        return self._legs[max(bisect_right(self._legs, at, key=lambda leg: leg.at) - 1, 0)]

    def _next(self, leg: Leg) -> Leg:
        """The leg after one that ends by itself: the brine changed, or salt was used up."""
        at = leg.until
        return self._changed(leg, at, self._left(leg, at), self._tau(leg, at))

    def _changed(self, leg: Leg, at: float, film: float, tau: float) -> Leg:
        """The leg that follows one after `tau` without anybody touching the wheel."""
        turned = leg.turned and leg.at == at
        begun = partial(leg.course.later, tau)
        return self._leg(at, leg.place, begun, film, leg.out, turned)

    def _leg(
        self,
        at: float,
        place: str,
        begun: Callable[[Faces], Course],
        film: float = 0.0,
        out: bool = False,
        turned: bool = False,
    ) -> Leg:
        faces, salted = self._faces(place, at, film > 0, out)
        film = film if salted else 0.0
        return self._ending(Leg(at, place, begun(faces), salted, film, out, turned, math.inf))

    def _ending(self, leg: Leg) -> Leg:
        """The leg with the time at which it ends by itself."""
        change = math.inf if leg.out else self.surroundings[leg.place].next_change(leg.at)
        if not 0 < leg.film < PLENTY:
            return replace(leg, until=change)
        taken = partial(self._taken, leg)
        if change < math.inf:
            spent = taken(change) >= leg.film
            end = crossing(taken, leg.film, leg.at, change, EXACT) if spent else change
        else:
            found = first_crossing(taken, leg.film, leg.at, EXACT)
            end = math.inf if found is None else found
        return replace(leg, until=end)

    def _faces(
        self, place: str, at: float, salted: bool, out: bool
    ) -> tuple[Faces, tuple[Face, ...]]:
        """What each held face is held at, and which of them are under salt."""
        every = self.uptake.paste.faces
        where = self.surroundings[place]
        if out:
            return {}, ()
        dry = Held(where.under_salt(), salted=True)
        wet = where.wet(at)
        if wet is None:
            under = every if salted else ()
            return dict.fromkeys(under, dry), under
        faces = dict.fromkeys(every, Held(wet))
        if not self.uptake.floats or Face.TOP not in every:
            return faces, ()
        if salted:
            return {**faces, Face.TOP: dry}, (Face.TOP,)
        del faces[Face.TOP]
        return faces, ()

    def _tau(self, leg: Leg, at: float) -> float:
        """The diffusion clock since the leg began [cm2]."""
        where = self.surroundings[leg.place]
        days = where.warmth.days(leg.at, at)
        start = self.uptake.start
        if start is not None:
            factor, there = where.warmth.factor(start.at), where.warmth.temperature(start.at)
            days += start.days(at, factor, there) - start.days(leg.at, factor, there)
        if not leg.course.faces:
            return self.uptake.diffusivity * days
        if not where.brined:
            return self.uptake.diffusivity * self.uptake.dry_rate * days
        # The uptake goes with the root of the clock: a face wet part of the time takes up
        # that part of the salt.
        wet = (1.0 - self.uptake.dry) ** 2
        return self.uptake.diffusivity * self.uptake.rate * wet * days

    def _taken(self, leg: Leg, at: float) -> float:
        """Salt that went in through the faces under salt since the leg began [g]."""
        tau = self._tau(leg, at)
        if len(leg.salted) == len(self.uptake.paste.faces):
            gained = leg.course.mean(tau) - leg.course.mean(0.0)
        else:
            gained = sum(leg.course.through(face, tau) for face in leg.salted)
        return self.uptake.body.salt(gained)

    def _left(self, leg: Leg, at: float) -> float:
        if not leg.salted or leg.film == PLENTY:
            return leg.film
        # At its end the leg has used up all, whatever rounding says.
        spent = leg.until <= at and leg.until < self.surroundings[leg.place].next_change(leg.at)
        return 0.0 if spent else max(leg.film - self._taken(leg, at), 0.0)


def _through(leg: Leg, face: Face, tau: float) -> float:
    return leg.course.through(face, tau) if face in leg.course.faces else 0.0


def face_dose(track: Track, at: float, until: float) -> float:
    """Salt to put on the face that stands out so that it lasts [g].

    Args:
        track: on which plenty of it goes on at that time.
        at: when it goes on [s since 1970 UTC].
        until: when it may be used up: the next turn, or the lift.
    """
    return track.uptake.body.salt(track.on_top(at, until)) / FACE_RETENTION
