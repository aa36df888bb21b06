"""One wheel's salting as a whole: up to now, on to the lift, and until the salt is even.

While a wheel takes up salt the range is that of the rate factor. Once it is lifted it evens
out with the paste's own diffusivity, whose band then widens the range.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from cavewatch.core.brine.exchange import water_per_salt
from cavewatch.core.brine.strength import in_water, saturation
from cavewatch.core.countdown import Action, Countdown, Span, Step
from cavewatch.core.salting import evening
from cavewatch.core.salting.axis import Array
from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.clock import DAY, WarmthRecord, warmth_factor
from cavewatch.core.salting.countdowns import (
    Rates,
    at_lift,
    content,
    countdown,
    rate_of,
    worked_out,
)
from cavewatch.core.salting.crossing import crossing
from cavewatch.core.salting.guesses import SATURATED, banded, guesses
from cavewatch.core.salting.paste import Paste
from cavewatch.core.salting.salted import Track
from cavewatch.core.salting.shifting import Words, held
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.style import Limits
from cavewatch.core.uptake import Cut, Moment, Uptake, When
from cavewatch.core.wheel import Event, Standing, Wheel

ACROSS, UP = 48, 32
"""Cells of a cut that is handed on."""
SAMPLES = 160
"""Times at which the uptake is told."""
BEYOND = 0.06
"""The curve goes on for this part of its length after the lift [-]."""
SATURATION = in_water(saturation(12.0))
"""The most that water holds [g per 100 g]."""
COOL = 12.0
"""Assumed where a style does not say how warm it ages [degC]."""


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of the places and the rates at one time."""

    at: float
    """[s since 1970 UTC]"""
    surroundings: Mapping[str, Surroundings]
    """Of every place that the wheel was in."""
    rates: Rates
    """As learned by then."""


class Whole:
    """A wheel that is in salt, or was."""

    def __init__(self, wheel: Wheel, known: Known) -> None:
        """Work it out.

        Args:
            wheel: with a history.
            known: now.
        """
        self.wheel, self.known = wheel, known
        self._around = known.surroundings
        self._out = wheel.salted_out_at
        salting = wheel if self._out is None else _before_out(wheel, self._around)
        self._then = known.at if self._out is None else self._out
        solved = worked_out(salting, self._around, self._then, rate_of(wheel, known.rates))
        self._salting, self._steps = salting, tuple(solved.steps)
        self.tracks = solved.ahead
        if self._out is not None:
            began = self._around[wheel.history[0].place]
            three = guesses(wheel, began, self._out, rate_of(wheel, known.rates))
            self.tracks = [Track.of(guess, self._around, wheel.history) for guess in three]
        self._body = self.tracks[1].uptake.body
        began_in = self._around[wheel.history[0].place].strength(self.begun)
        self._given = water_per_salt(SATURATED if began_in is None else began_in)

    @property
    def begun(self) -> float:
        """When its salting began [s since 1970 UTC]."""
        return self.wheel.history[0].at

    @property
    def lift(self) -> float:
        """When it was lifted, or is to be [s since 1970 UTC]."""
        return self._steps[-1].at.expected if self._out is None else self._out

    def uptake(self, plan: Countdown, stored: Countdown | None, words: Words) -> Uptake:
        """The whole, held against its plan.

        Args:
            plan: its countdown when it went in.
            stored: its countdown as people see it, for a wheel in salt.
            words: a length of time [s] in words.
        """
        found = stored
        if found is None:
            now = countdown(self._salting, self._around, self._then, self.known.rates)
            found = held(plan, now, self._salting, words)
        times = self._times()
        in_salt = self._out is None
        return Uptake(
            wheel=self.wheel.id,
            at=self.known.at,
            times=times,
            salt=tuple(self._salt(at) for at in times),
            target=at_lift(self.wheel),
            aimed=found.steps[-1].at,
            lifted_at=self._out,
            now=content([t.mean(self._then) for t in self.tracks], self._body, self._given),
            moments=self._moments(found.steps[-1].at if in_salt else _sure(self.lift)),
            planned=_planned(plan, stored),
            ahead=found.steps if in_salt else (),
            shift=found.shift,
            rests_on=self._rests_on(),
        )

    def cut(self, at: float) -> Cut:
        """The wheel cut through at a time from its going in on [s since 1970 UTC]."""
        fields = list(self._fields(max(at, self.begun)))
        means = [track.mean(min(max(at, self.begun), self.lift)) for track in self.tracks]
        mean = banded(Body.salt_in_moisture, self._body, means, self._given)
        expected = fields[len(fields) // 2]
        # As if the water that came out had come out of all parts alike.
        concentrated = mean.expected / means[1] if means[1] > 0 else 1.0
        picture = evening.cut(self._paste, expected, ACROSS, UP) * concentrated
        aims = self._body.mean_at_percent(at_lift(self.wheel).expected)
        return Cut(
            wheel=self.wheel.id,
            at=at,
            shape=self.wheel.shape,
            field=tuple(
                tuple(None if np.isnan(v) else _held(float(v)) for v in row) for row in picture
            ),
            saltiest=_ends([float(f.max()) for f in fields], concentrated),
            mean=mean,
            least=_ends([float(f.min()) for f in fields], concentrated),
            aim=self._body.salt_in_moisture(aims),
        )

    @property
    def _paste(self) -> Paste:
        return self.tracks[1].uptake.paste

    def _times(self) -> tuple[float, ...]:
        end = max(self.lift, self._then)
        if self._out is None:
            end = max(end, self._steps[-1].at.high)
        end += BEYOND * (end - self.begun)
        return tuple(float(at) for at in np.linspace(self.begun, end, SAMPLES))

    def _salt(self, at: float) -> Span:
        means = [track.mean(at) for track in self.tracks]
        found = banded(Body.salt_percent, self._body, means, self._given)
        return Span(*(max(end, 0.0) for end in (found.low, found.expected, found.high)))

    def _fields(self, at: float) -> Iterator[Array]:
        """Every guess at the salt at a time; the one in the middle is as expected."""
        if at <= self.lift:
            yield from (track.salt(at) for track in self.tracks)
            return
        days, own = self._rested(at), self.wheel.style.diffusivity
        for field in self._lifted:
            course = self._paste.course(field, {})
            for diffusivity in (own.low, own.value, own.high):
                yield course.salt(diffusivity * days)

    @cached_property
    def _lifted(self) -> list[Array]:
        """The salt at the lift, by every guess."""
        return [track.salt(self.lift) for track in self.tracks]

    def _moments(self, lift: Span) -> tuple[Moment, ...]:
        found = [
            Moment(When.NOW, _sure(self.known.at)),
            Moment(When.LIFT, lift),
            Moment(When.WEEK, _sure(lift.expected + 7 * DAY)),
            Moment(When.EVEN, self._even),
        ]
        return tuple(sorted(found, key=lambda moment: moment.at.expected))

    @cached_property
    def _even(self) -> Span:
        """When the salt is even [s since 1970 UTC]."""
        own = self.wheel.style.diffusivity
        days = evening.even_after(self._paste, self._lifted[1], own, COOL)
        at_reference = warmth_factor(COOL)
        ends = (self._rest_of(d * at_reference) for d in (days.low, days.expected, days.high))
        return Span(*ends)

    # After the lift

    @cached_property
    def _stays(self) -> list[tuple[float, str]]:
        """Where it was from each time on since it was lifted; empty while it is in salt."""
        if self._out is None:
            return []
        later = [(stay.at, stay.place) for stay in self.wheel.stays if stay.at > self._out]
        return [(self._out, self.wheel.history[-1].place), *later]

    def _rested(self, at: float) -> float:
        """Days at 12 degC that the time from the lift is worth."""
        if not self._stays:
            return self._as_style_wants.days(self.lift, max(at, self.lift))
        ends = [*(since for since, _ in self._stays[1:]), at]
        return sum(
            self._around[place].warmth.days(since, min(end, at))
            for (since, place), end in zip(self._stays, ends, strict=True)
            if since < at
        )

    @cached_property
    def _as_style_wants(self) -> WarmthRecord:
        """As warm as the stages of its style want it from the lift on, in the middle of each."""
        at, times, temperatures = self.lift, [self.lift], [COOL]
        for index, stage in enumerate(self.wheel.style.stages):
            ends = [] if stage.temperature is None else _edges(stage.temperature)
            if index:
                times.append(at)
                temperatures.append(temperatures[-1])
            temperatures[-1] = sum(ends) / len(ends) if ends else temperatures[-1]
            at += (stage.days or 0.0) * DAY
        return WarmthRecord(times, temperatures)

    def _rest_of(self, days: float) -> float:
        """When that is worth so many days [s since 1970 UTC]."""
        now = max(self.known.at, self.lift)
        done = self._rested(now)
        if done >= days:
            return crossing(self._rested, days, self.lift, now, 60.0)
        return now + (days - done) * DAY / (self._rested(now + DAY) - done)

    def _rests_on(self) -> str:
        own = self.wheel.style.diffusivity
        paste = f"{own.value:.2g} cm2/day ({own.low:.2g} to {own.high:.2g}) at {{12.0 degC}}"
        if self._out is None:
            return f"evening out with {paste}, as warm as its style wants it"
        place = self._stays[-1][1]
        warm = self._around[place].warmth.temperature(self.known.at)
        return f"evening out with {paste}, and {{{warm:.1f} degC}} from now on, in {place}"


def planned(wheel: Wheel, known: Known) -> Countdown:
    """The countdown of a wheel when it went in, by what was known then."""
    first = wheel.history[0]
    brined = known.surroundings[first.place].brined
    fresh = replace(
        wheel,
        history=(first,),
        place=first.place,
        standing=Standing.IN_BRINE if brined else Standing.IN_DRY_SALT,
        salted_out_at=None,
    )
    return countdown(fresh, known.surroundings, first.at, known.rates)


def _planned(plan: Countdown, stored: Countdown | None) -> tuple[Step, ...]:
    """The steps of a plan, at the times that were pinned where they still are known."""
    pinned = None if stored is None else stored.pinned
    if pinned is None:
        return plan.steps
    touches = iter(pinned.touches)
    moved: dict[float, float] = {plan.steps[-1].at.expected: pinned.lift}
    for step in plan.steps:
        if step.action in (Action.TURN, Action.COAT):
            moved[step.at.expected] = next(touches, step.at.expected)
    return tuple(
        replace(step, at=_moved(step.at, moved.get(step.at.expected, step.at.expected)))
        for step in plan.steps
    )


def _moved(span: Span, to: float) -> Span:
    by = to - span.expected
    return Span(span.low + by, to, span.high + by)


def _before_out(wheel: Wheel, around: Mapping[str, Surroundings]) -> Wheel:
    """The wheel as it was in salt, just before it was lifted."""
    last = max(i for i, each in enumerate(wheel.history) if each.event is Event.OUT)
    history = wheel.history[:last]
    place = history[-1].place
    standing = Standing.IN_BRINE if around[place].brined else Standing.IN_DRY_SALT
    return replace(wheel, history=history, place=place, standing=standing, salted_out_at=None)


def _edges(limits: Limits) -> list[float]:
    return [edge for edge in (limits.low, limits.high) if edge is not None]


def _held(value: float) -> float:
    return round(min(max(value, 0.0), SATURATION), 3)


def _sure(at: float) -> Span:
    return Span(at, at, at)


def _ends(values: Sequence[float], times: float) -> Span:
    """A spread with the one in the middle as expected; no water holds more than it can."""
    low, expected, high = (
        min(max(value * times, 0.0), SATURATION)
        for value in (min(values), values[len(values) // 2], max(values))
    )
    return Span(low, expected, high)
