"""The brine of a tub as one curve: what its wheels take up, corrected by the maker's readings.

The curve begins when the earliest of the wheels in the tub went in; or, where others were
in it then, when these went in, and so on; but at the newest test of the strength before
that, since a test tells what all before it has done. It begins with the journal's balance
of that moment (`cavewatch.core.brine.life`), counts every wheel that was in the tub since,
takes each test from when it was made, and goes on by the wheels' plans until all are lifted.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from cavewatch.core import journal
from cavewatch.core.brine.life import life
from cavewatch.core.brine.predicted import Predicted
from cavewatch.core.brine.restoring import Tub
from cavewatch.core.brine.strength import saturation
from cavewatch.core.countdown import Action, Countdown, Span
from cavewatch.core.journal import BrineMeasured, BrineWork, Entry, Tended
from cavewatch.core.place import Place
from cavewatch.core.salting.countdowns import Rates, rate_of
from cavewatch.core.salting.guesses import Rate, guesses
from cavewatch.core.salting.salted import Uptake
from cavewatch.core.salting.sharing import Addition, Bather, Shared, shared
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.wheel import Event, Happening, Standing, Wheel

LONGEST = 60 * 86400.0
"""The curve begins no earlier than this, however long the tub was never empty nor tested [s]."""
AHEAD = 30 * 86400.0
"""It goes no further than this [s]."""
PIECE = 0.02
"""Strengths in one piece of the curve differ from its first by no more than this [% w/w]."""
SOON = 60.0
"""A step of the curve is as short as this at the present, and what is overdue is done then [s]."""
_EVENTS = {
    Action.TURN: Event.TURNED,
    Action.SALT_FACE: Event.SALTED,
    Action.LIFT: Event.OUT,
}


@dataclass(frozen=True, slots=True)
class Curve:
    """A tub's brine over time."""

    strengths: tuple[tuple[float, float], ...]
    """For `Surroundings`: from each time on [s since 1970 UTC, % w/w]."""
    predicted: Predicted
    """The present."""


@dataclass(frozen=True, slots=True)
class _Alike:
    """Wheels with one history in the tub."""

    wheel: Wheel
    history: tuple[Happening, ...]
    count: int


def curve(
    place: Place,
    entries: Sequence[Entry],
    wheels: Mapping[int, Wheel],
    plans: Mapping[int, Countdown],
    surroundings: Mapping[str, Surroundings],
    rates: Rates,
    at: float,
) -> Curve | None:
    """The brine of a tub; None where no wheel is in it or its volume is not known.

    Args:
        place: a tub.
        entries: the journal until now.
        wheels: every wheel as it has it, ended ones included.
        plans: countdowns of the wheels in the tub, by number.
        surroundings: of every place in the histories of wheels that were in the tub.
        rates: as learned, by style.
        at: now [s since 1970 UTC].

    Raises:
        CavewatchError: where the journal's balance cannot be.
    """
    entries = journal.standing(entries)
    gone = {n: e.at for e in entries if isinstance(e.act, journal.Ended) for n in e.act.wheels}
    histories = {n: _history(wheel, gone.get(n)) for n, wheel in wheels.items()}
    stays = {n: list(_stays(place.name, history)) for n, history in histories.items()}
    begun = [start for each in stays.values() for start, end in each if end == math.inf]
    if not begun:
        return None
    acts = [
        (entry.at, entry.act)
        for entry in entries
        if isinstance(entry.act, BrineMeasured | Tended) and entry.act.place == place.name
    ]
    start = _start(min(begun), [stay for each in stays.values() for stay in each], acts)
    start = max(start, at - LONGEST)
    known = life(place, entries, wheels, start)
    if known.tub is None:
        return None
    # The addition of nothing makes the solver stop: at the present, and soon after it, so that
    # wheels meet now what is told of now.
    additions = [_addition(when, act) for when, act in acts]
    additions += [Addition(at), Addition(at + SOON)]
    tub = _Tub(place, known.tub, known.strength, start, at)
    alike = _groups(tub, histories, stays, wheels, plans)
    return tub.curve(alike, [each for each in additions if each.at > start], surroundings, rates)


def _groups(
    tub: "_Tub",
    histories: Mapping[int, tuple[Happening, ...]],
    stays: Mapping[int, Sequence[tuple[float, float]]],
    wheels: Mapping[int, Wheel],
    plans: Mapping[int, Countdown],
) -> list[_Alike]:
    """The wheels that were in the tub since the start, with what is planned for them."""
    found: dict[tuple[object, ...], _Alike] = {}
    for number, wheel in wheels.items():
        if not any(end > tub.start for _, end in stays[number]):
            continue
        inside = stays[number][-1][1] == math.inf and number in plans
        future = _future(plans[number], tub.place.name, tub.at) if inside else ()
        history = (*histories[number], *future)
        key = (wheel.style.id, wheel.weight, wheel.shape, wheel.floats, wheel.temperature, history)
        before = found.get(key)
        found[key] = _Alike(wheel, history, 1 if before is None else before.count + 1)
    return list(found.values())


@dataclass(frozen=True, slots=True)
class _Tub:
    """A tub at the start of its curve."""

    place: Place
    brine: Tub
    strength: Span
    """With the range that the journal leaves [% w/w]."""
    start: float
    """[s since 1970 UTC]"""
    at: float
    """The present [s since 1970 UTC]."""

    def curve(
        self,
        alike: Sequence[_Alike],
        additions: Sequence[Addition],
        surroundings: Mapping[str, Surroundings],
        rates: Rates,
    ) -> Curve:
        """The curve with these wheels.

        Its range is that of the start, and of wheels that all take up much, or all little:
        uptake goes with the root of the rate.
        """
        known = [rate_of(each.wheel, rates) for each in alike]
        bathers = [
            Bather(_expected(each.wheel, surroundings, rate), each.history, each.count)
            for each, rate in zip(alike, known, strict=True)
        ]
        last = max(each.history[-1].at for each in alike)
        until = max(self.at + SOON, min(last, self.at + AHEAD)) + 1.0

        def run(strength: float, end: float, *inside: Bather) -> Shared:
            tub = Tub(self.brine.mass, self.brine.mass * strength / 100.0)
            if strength == self.strength.expected:
                # With what lies on the bottom.
                tub = self.brine
            return shared(
                self.place.name,
                tub,
                self.start,
                end,
                inside,
                surroundings,
                additions,
                self._most,
                self._stirred,
            )

        found = run(self.strength.expected, until, *bathers)
        now = _at(found, self.at)
        expected = min(now.strength, self._most)
        without = [
            min(run(strength, self.at).end.strength, self._most)
            for strength in (self.strength.low, self.strength.expected, self.strength.high)
        ]
        taken = without[1] - expected
        fast = max(math.sqrt(rate.high / rate.value) for rate in known) - 1.0
        slow = 1.0 - min(math.sqrt(rate.low / rate.value) for rate in known)
        ends = (
            expected - taken * fast + without[0] - without[1],
            expected + taken * slow + without[2] - without[1],
        )
        strength = Span(min(*ends, expected), expected, min(max(*ends, expected), self._most))
        predicted = Predicted(self.place.name, self.at, strength, now, found.end)
        return Curve(_thinned(found.strengths, self.at), predicted)

    @property
    def _stirred(self) -> bool:
        assert self.place.brine is not None
        return self.place.brine.stirred

    @property
    def _most(self) -> float:
        """The strongest that its brine can be [% w/w]."""
        assert self.place.brine is not None
        return saturation(min(max(self.place.brine.temperature, 0.0), 60.0))


def _start(
    begun: float,
    stays: Iterable[tuple[float, float]],
    acts: Sequence[tuple[float, BrineMeasured | Tended]],
) -> float:
    """When the curve begins."""
    stays = list(stays)
    tests = [when for when, act in acts if _tells_strength(act)]
    start = begun
    while inside := [begin for begin, end in stays if begin < start < end]:
        told = [when for when in tests if min(inside) <= when <= start]
        if told:
            start = max(told)
            break
        start = min(inside)
    # Where the volume was told since, the balance is known better from then on.
    return max([start, *(when for when, act in acts if _tells_volume(act))])


def _tells_strength(act: BrineMeasured | Tended) -> bool:
    return isinstance(act, BrineMeasured) and act.strength is not None


def _tells_volume(act: BrineMeasured | Tended) -> bool:
    return act.work is BrineWork.MIXED if isinstance(act, Tended) else act.litres is not None


def _addition(when: float, act: BrineMeasured | Tended) -> Addition:
    if isinstance(act, BrineMeasured):
        return Addition(when, measured=act.strength)
    return Addition(when, act.salt, act.water + act.calcium, act.drawn_off)


def _expected(wheel: Wheel, surroundings: Mapping[str, Surroundings], rate: Rate) -> Uptake:
    began = wheel.history[0]
    return guesses(wheel, surroundings[began.place], began.at, rate).expected


def _at(found: Shared, at: float) -> Tub:
    """The tub at the present."""
    return [tub for when, tub in found.tubs if when <= at][-1]


def _thinned(
    strengths: Sequence[tuple[float, float]], at: float
) -> tuple[tuple[float, float], ...]:
    """The curve in fewer pieces, at their mean; the piece that begins at the present is kept."""
    last = strengths[-1][0]
    pieces: list[list[tuple[float, float]]] = []
    ends = (*(since for since, _ in strengths[1:]), last + 1.0)
    for (since, strength), until in zip(strengths, ends, strict=True):
        together = pieces[-1] if pieces and since not in (at, at + SOON) else []
        if not together or abs(strength - together[0][1]) > PIECE:
            pieces.append([])
        pieces[-1].append((until - since, strength))
    found, since = [], strengths[0][0]
    for piece in pieces:
        length = sum(part for part, _ in piece)
        found.append((since, sum(part * strength for part, strength in piece) / length))
        since += length
    return tuple(found)


def _history(wheel: Wheel, gone: float | None) -> tuple[Happening, ...]:
    """Its history, out of the tub when it left the dairy at the latest."""
    if wheel.standing is not Standing.ENDED or gone is None or not wheel.history:
        return wheel.history
    return (*wheel.history, Happening(gone, Event.OUT, wheel.place))


def _stays(place: str, history: Iterable[Happening]) -> Iterator[tuple[float, float]]:
    """When it went into the tub and out; the last end is infinite while it is in it."""
    since: float | None = None
    for happening in history:
        if happening.event not in (Event.IN, Event.OUT):
            continue
        if since is not None:
            yield since, happening.at
        inside = happening.event is Event.IN and happening.place == place
        since = happening.at if inside else None
    if since is not None:
        yield since, math.inf


def _future(plan: Countdown, place: str, at: float) -> Iterator[Happening]:
    """What is left to do, done as planned; what is overdue, soon."""
    for step in plan.steps:
        if step.action in _EVENTS:
            grams = 0.0 if step.grams is None else step.grams.expected
            when = max(step.at.expected, at + SOON)
            yield Happening(when, _EVENTS[step.action], place, grams)
