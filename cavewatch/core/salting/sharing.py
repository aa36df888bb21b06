"""Wheels that share a tub, solved together: what they take up leaves the brine, and the
water that they give off dilutes it.

The brine's strength is worked out in steps. Within a step it is constant for
the wheels, at the mean of what it is at both ends; a step is halved until two
estimates of its end agree. The error falls as the step to the power of 3/2, since
salt goes in with the root of time. What the wheels
take in a step is what the brine loses, so salt and water are conserved exactly
whatever the steps.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from cavewatch.core.brine.exchange import Exchange
from cavewatch.core.brine.restoring import Tub
from cavewatch.core.brine.strength import STRONGEST
from cavewatch.core.salting.salted import Track, Uptake
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.wheel import Event, Happening

AGREE = 0.002
"""Two estimates of a step's end differ by less than this [% w/w]."""
NOTHING = AGREE / 200
"""A second estimate that would differ by less than this is not made [% w/w]."""
FIRST = 2 * 3600.0
"""Length of the first step after anything happened [s]."""
LONGEST = 4 * 86400.0
"""Of a step [s]."""
SHORTEST = 1.0
"""A step is not halved below this [s]."""


@dataclass(frozen=True, slots=True)
class Bather:
    """Wheels that are treated alike in the tub."""

    uptake: Uptake
    history: tuple[Happening, ...]
    """From the first going in; it may run into the future."""
    count: int


@dataclass(frozen=True, slots=True)
class Addition:
    """Something done to the brine itself."""

    at: float
    """[s since 1970 UTC]"""
    salt: float = 0.0
    """Put in [g]."""
    water: float = 0.0
    """Put in [g]."""
    drawn_off: float = 0.0
    """Brine taken out before that [g]."""
    measured: float | None = None
    """Strength as measured or mixed then, from which the curve goes on [% w/w]."""


@dataclass(frozen=True, slots=True)
class Shared:
    """The brine of a tub as its wheels left it."""

    strengths: tuple[tuple[float, float], ...]
    """For `Surroundings`: strength from each time on [s since 1970 UTC, % w/w]."""
    tubs: tuple[tuple[float, Tub], ...]
    """The tub's balance at the end of each step."""

    @property
    def end(self) -> Tub:
        """The tub at the end."""
        return self.tubs[-1][1]


def shared(
    name: str,
    tub: Tub,
    start: float,
    until: float,
    bathers: Iterable[Bather],
    surroundings: Mapping[str, Surroundings],
    additions: Sequence[Addition] = (),
    most: float = STRONGEST,
    stirred: bool = False,
) -> Shared:
    """The strength of a tub's brine while wheels go in and out.

    Args:
        name: of the tub.
        tub: its brine at the start.
        start: [s since 1970 UTC].
        until: [s since 1970 UTC].
        bathers: every wheel that is in the tub in that time.
        surroundings: of every place in their histories; of the tub's strengths those before
            the start are kept, for wheels that went in before.
        additions: what was done to the brine, rising in time.
        most: strength of saturated brine [% w/w].
        stirred: whether salt beyond that dissolves as it is taken; otherwise it does not count.
    """
    solver = _Solver(name, tub, start, surroundings, list(bathers), most, stirred)
    stops = {h.at for bather in solver.bathers for h in bather.history if start < h.at < until}
    stops |= {each.at for each in additions if start < each.at < until}
    for stop in [*sorted(stops), until]:
        solver.run(stop)
        for each in additions:
            if each.at == stop:
                solver.add(each)
        solver.happen(stop)
    return Shared(tuple(solver.strengths), tuple(solver.tubs))


class _Solver:
    """The tub and its wheels at one moment, going on."""

    def __init__(
        self,
        name: str,
        tub: Tub,
        start: float,
        surroundings: Mapping[str, Surroundings],
        bathers: list[Bather],
        most: float,
        stirred: bool,
    ) -> None:
        self.bathers = bathers
        before = [each for each in surroundings[name].strengths if each[0] < start]
        self.strengths: list[tuple[float, float]] = [*before, (start, min(tub.strength, most))]
        self.tubs = [(start, tub)]
        self._most, self._stirred = most, stirred
        self._name = name
        self._around = dict(surroundings)
        self._hold(start, tub.strength)
        self._tracks = [self._met(bather, start) for bather in bathers]
        self.happen(start)

    @property
    def _now(self) -> float:
        return self.tubs[-1][0]

    def run(self, stop: float) -> None:
        """Go on to a time until which nobody touches anything."""
        step = FIRST
        while self._now < stop:
            end = min(self._now + step, stop)
            if not self._inside():
                self._hold(self._now, self.tubs[-1][1].strength)
                self.tubs.append((stop, self.tubs[-1][1]))
                return
            step = 2 * self._step(end)
            step = min(step, LONGEST)

    def _step(self, end: float) -> float:
        """One step, halved until its estimates agree; returns its length."""
        start, tub = self.tubs[-1]
        while True:
            first = self._after(start, end, tub.strength)
            # Uptake goes with strength, and that falls by half of this in the mean.
            if (tub.strength - first.strength) ** 2 < NOTHING * 2 * tub.strength:
                second = first
                break
            second = self._after(start, end, (tub.strength + first.strength) / 2)
            close = abs(second.strength - first.strength) < AGREE
            if close or end - start <= SHORTEST:
                break
            end = start + (end - start) / 2
        self.tubs.append((end, second))
        return end - start

    def _after(self, start: float, end: float, strength: float) -> Tub:
        """The tub at the end of a step in which the wheels meet this strength."""
        tub = self.tubs[-1][1]
        self._hold(start, strength, end + SHORTEST)
        salt = water = 0.0
        for index in self._inside():
            track, bather = self._tracks[index], self.bathers[index]
            assert track is not None
            track = track.amid(start, self._around)
            self._tracks[index] = track
            gained = track.mean(end) - track.mean(start)
            salt += bather.count * track.taken_from_brine(start, end)
            body = bather.uptake.body
            water += bather.count * body.salt(gained) * body.water_per_salt
        return tub.after(Exchange(salt, water))

    def add(self, addition: Addition) -> None:
        """Put into the brine, or measure it."""
        at, tub = self.tubs[-1]
        kept = 1.0 - addition.drawn_off / tub.mass
        put_in = addition.salt + addition.water
        tub = Tub(tub.mass * kept + put_in, tub.salt * kept + addition.salt)
        if addition.measured is not None:
            tub = Tub(tub.mass, tub.mass * addition.measured / 100.0)
        if not self._stirred:
            tub = tub.dissolved(self._most)
        self.tubs.append((at, tub))
        self._hold(at, tub.strength)

    def happen(self, at: float) -> None:
        """Wheels go in and out, are turned and salted."""
        washed = 0.0
        for index, bather in enumerate(self.bathers):
            now = tuple(h for h in bather.history if h.at == at)
            track = self._tracks[index]
            if not now:
                continue
            if track is None:
                before = [h for h in bather.history if h.at <= at]
                self._tracks[index] = Track.of(bather.uptake, self._around, before)
                continue
            if self._is_in(track, at) and any(h.event is Event.TURNED for h in now):
                washed += bather.count * track.washed_off(at)
            self._tracks[index] = track.amid(at, self._around).then(*now)
        if washed:
            tub = self.tubs[-1][1]
            self.tubs.append((at, Tub(tub.mass + washed, tub.salt + washed)))

    def _met(self, bather: Bather, start: float) -> Track | None:
        """What a wheel has met before the start; None if it went in later."""
        before = [happening for happening in bather.history if happening.at < start]
        return Track.of(bather.uptake, self._around, before) if before else None

    def _inside(self) -> list[int]:
        return [
            index
            for index, track in enumerate(self._tracks)
            if track is not None and self._is_in(track, self._now)
        ]

    def _is_in(self, track: Track, at: float) -> bool:
        place, out = track.where(at)
        return place == self._name and not out

    def _hold(self, at: float, strength: float, until: float = math.inf) -> None:
        """The brine has this strength from a time on.

        Beyond `until` nobody looks before it is held anew; saying so spares tracks from
        working out when salt on a face would be used up long after.
        """
        strength = min(strength, self._most)
        if self.strengths[-1][0] >= at:
            self.strengths.pop()
        self.strengths.append((at, strength))
        held = (*self.strengths, (until, strength)) if until < math.inf else (*self.strengths,)
        self._around[self._name] = replace(self._around[self._name], strengths=held)
