"""A plan for wheels still to be salted: what to do when, and what comes of it.

The steps are those that a countdown of the same wheel would have. A tub of known volume
is solved together with its wheels: the plan gives their turns, these give the strength
of the brine from then on, and that the plan, until the lift stays where it is.
"""

from dataclasses import dataclass, replace
from functools import partial

from cavewatch.core.brine.exchange import water_per_salt
from cavewatch.core.brine.restoring import Tub
from cavewatch.core.countdown import Action, Span, Step
from cavewatch.core.salting import brined, coated
from cavewatch.core.salting.activity import paste_activity
from cavewatch.core.salting.asked import HOUR, Asked
from cavewatch.core.salting.balance import Body
from cavewatch.core.salting.clock import WarmthRecord, warmth_factor
from cavewatch.core.salting.crossing import HORIZON
from cavewatch.core.salting.doses import dosed, shares
from cavewatch.core.salting.evening import even_after
from cavewatch.core.salting.floating import Floating, floating
from cavewatch.core.salting.guesses import (
    SATURATED,
    Guesses,
    Rate,
    banded,
    body,
    dry_plan,
    guesses,
    spread,
)
from cavewatch.core.salting.paste import Face
from cavewatch.core.salting.salted import PLENTY, Track, Uptake, face_dose
from cavewatch.core.salting.sharing import Bather, Shared, shared
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.salting.turning import turned, turning
from cavewatch.core.salting.usual import prior
from cavewatch.core.style import Figure, Method
from cavewatch.core.wheel import Event, Happening, Standing, Wheel

PLACE = "here"
"""Where the wheel is salted."""
SETTLED = 60.0
"""The lift stays where it is within this, round to round [s]."""
ROUNDS = 8


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan, for one wheel of those asked for; times are counted from the going in."""

    asked: Asked
    steps: tuple[Step, ...]
    """What to do when [s], soonest first; the last is the lift."""
    level: Span
    """Salt in the moisture there was at the start, at the lift [g per 100 g]."""
    salt: Span
    """Taken up by the lift as expected; so are all that follow [g]."""
    salt_percent: Span
    """[% of the weight then]"""
    salt_in_moisture: Span
    """[g per 100 g of the water then]"""
    water_out: Span
    """[g]"""
    weight_after: Span
    """[g]"""
    moisture_after: Span
    """Water in the cheese [% of the weight then]."""
    uptake: Span
    """Share of what it would take up in endless time [-]."""
    put_on: Span | None
    """Dry salt put on in all; None where none is [g]."""
    brine_after: Span | None
    """Strength of the tub's brine; None where its volume was not said [% w/w]."""
    floating: Floating | None
    """How it would lie in the brine on its own; None in dry salt."""
    afloat: bool
    """Whether it is left to float."""
    cave: float
    """Temperature of the last stage of the style, or of the salting [degC]."""
    even_after: Span
    """From the lift at that temperature [day]."""
    water_activity: Span
    """Of the paste, at the expected salt in moisture [-]."""
    rate: Rate
    diffusivity: Figure
    """Of the paste at 12 degC [cm2/day]."""
    retention: Figure | None
    """Part of dry salt that goes in; None in brine [-]."""

    @property
    def lift(self) -> Span:
        """When it comes out [s]."""
        return self.steps[-1].at

    @property
    def reached(self) -> bool:
        """Whether the lift is within 90 days; if not, the rest tells what it would be then."""
        return self.lift.expected < HORIZON

    @property
    def touches(self) -> tuple[float, ...]:
        """When it is turned, or coated after the first coat, as expected [s]."""
        wanted = (Action.TURN, Action.COAT)
        times = [step.at.expected for step in self.steps if step.action in wanted]
        return tuple(at for at in times if at > 0.0)


def plan(asked: Asked) -> Planned:
    """What to do with the wheels that are asked for."""
    rate = asked.rate or prior(asked.style)
    brine = asked.method is Method.BRINE
    warmth = WarmthRecord([0.0], [asked.temperature])
    strengths = ((0.0, asked.strength),) if brine else ()
    where = Surroundings(warmth, strengths, asked.partition)
    wheel, lies = _wheel(asked)
    three = guesses(wheel, where, 0.0, rate)
    if brine:
        made = _brining(asked, wheel, where, three)
        if asked.litres is not None:
            made = _in_tub(asked, wheel, made, three)
    else:
        made = _coating(asked, wheel, where, three)
    return _outcome(asked, made, wheel, rate, lies)


@dataclass(frozen=True, slots=True)
class _Made:
    """Steps and where they lead."""

    steps: tuple[Step, ...]
    tracks: list[Track]
    """Slow, expected and fast, with all steps done as expected."""
    where: Surroundings
    shared: tuple[Shared, ...] = ()
    """The tub until the lift as expected, by each of the three; none if it is endless."""

    @property
    def lift(self) -> Span:
        return self.steps[-1].at


def _wheel(asked: Asked) -> tuple[Wheel, Floating | None]:
    """One of the wheels, with what was stated in place of its style's figures."""
    style, brine = asked.style, asked.method is Method.BRINE
    if asked.diffusivity is not None:
        value = asked.diffusivity / warmth_factor(asked.temperature)
        style = replace(style, diffusivity=Figure(value, value, value, "stated"))
    lies = None
    if brine:
        lies = floating(asked.shape, style.density.value, asked.strength, asked.temperature)
    wheel = Wheel(
        id=0,
        make=0,
        lot="",
        style=style,
        method=asked.method,
        weight=asked.weight,
        shape=asked.shape,
        made_at=0.0,
        floats=asked.floats and lies is not None and lies.above > 0.0,
        place=PLACE,
        since=0.0,
        standing=Standing.IN_BRINE if brine else Standing.IN_DRY_SALT,
        salted_out_at=None,
        history=(Happening(0.0, Event.IN, PLACE),),
        basis=0,
        temperature=asked.wheel_temperature,
    )
    if not brine:
        wheel = replace(wheel, style=replace(style, dry=dosed(asked, body(wheel, None))))
    return wheel, lies


def _brining(asked: Asked, wheel: Wheel, where: Surroundings, three: Guesses) -> _Made:
    places = {PLACE: where}
    salted = not asked.bare_top
    face = salted and wheel.floats and Face.TOP in three.expected.paste.faces
    begun = [Track.of(guess, places, wheel.history) for guess in three]
    if face:
        on = Happening(0.0, Event.SALTED, PLACE, PLENTY)
        begun = [track.then(on) for track in begun]
    hold = asked.hold
    if hold is None:
        level = asked.aim().level(three.expected.body)
        steps = brined.solved(wheel, places, three, level, 0.0, salted).steps
        turns = tuple(step.at.expected for step in steps if step.action is Action.TURN)
        return _Made(tuple(steps), [turned(track, turns, salted) for track in begun], where)
    turns = asked.touches or ()
    if asked.touches is None and wheel.floats:
        turns = turning(begun[1], lambda _: hold, 0.0, 0.0, 0, salted).turns
    tracks = [turned(track, turns, salted) for track in begun]
    made: list[Step] = []
    for at, until in zip((0.0, *turns), (*turns, hold), strict=True):
        if at > 0.0:
            made.append(Step(Action.TURN, brined.custom(at)))
        if face:
            doses = [face_dose(track, at, until) for track in tracks]
            made.append(Step(Action.SALT_FACE, brined.custom(at), spread(doses)))
    made.append(Step(Action.LIFT, brined.custom(hold)))
    return _Made(tuple(made), tracks, where)


def _in_tub(asked: Asked, wheel: Wheel, made: _Made, three: Guesses) -> _Made:
    """The plan in a tub whose brine the wheels change."""
    assert asked.litres is not None
    tub = Tub.of(asked.litres, asked.strength, asked.temperature)

    def filled(uptake: Uptake, until: float) -> Shared:
        bathers = [Bather(uptake, _history(wheel, made), asked.wheels)]
        return shared(PLACE, tub, 0.0, until, bathers, {PLACE: made.where})

    for _ in range(ROUNDS):
        before = made.lift.expected
        strengths = filled(three.expected, made.lift.high).strengths
        made = _brining(asked, wheel, replace(made.where, strengths=strengths), three)
        # A longer stay only weakens the brine more: what is never reached stays so.
        never = made.lift.expected >= HORIZON
        if never or abs(made.lift.expected - before) < SETTLED:
            break
    return replace(made, shared=tuple(filled(each, made.lift.expected) for each in three))


def _history(wheel: Wheel, made: _Made) -> tuple[Happening, ...]:
    """What is done with the wheel, with salt that lasts on each face."""
    happenings = list(wheel.history)
    for step in made.steps:
        if step.action is Action.TURN:
            happenings.append(Happening(step.at.expected, Event.TURNED, PLACE))
        elif step.action is Action.SALT_FACE:
            happenings.append(Happening(step.at.expected, Event.SALTED, PLACE, PLENTY))
    return tuple(happenings)


def _coating(asked: Asked, wheel: Wheel, where: Surroundings, three: Guesses) -> _Made:
    dry = dry_plan(wheel.style)
    times = [hours * HOUR for hours in dry.hours]
    if asked.touches is not None:
        times = [0.0, *asked.touches]
    if asked.hold is not None:
        times = [at for at in times if at < asked.hold]
    total = dry.dose.value / 100.0 * wheel.weight
    steps: list[Step] = []
    tracks = [Track.of(guess, {PLACE: where}, wheel.history) for guess in three]
    for at, share in zip(times, shares(len(times), asked.front_loaded), strict=True):
        grams = total * share
        steps.append(Step(Action.COAT, brined.custom(at), brined.custom(grams)))
        tracks = [track.then(Happening(at, Event.SALTED, PLACE, grams)) for track in tracks]
    if asked.hold is not None:
        lift = brined.custom(asked.hold)
    else:
        gap = times[-1] - times[-2] if len(times) > 1 else coated.USUAL_GAP * HOUR
        lift = spread([coated.off(track, times[-1], gap) for track in tracks])
    return _Made((*steps, Step(Action.LIFT, lift)), tracks, where)


def _outcome(asked: Asked, made: _Made, wheel: Wheel, rate: Rate, lies: Floating | None) -> Planned:
    at = made.lift.expected
    uptake = made.tracks[1].uptake
    means = [track.mean(at) for track in made.tracks]
    given = water_per_salt(asked.strength if lies else SATURATED)
    ranged = partial(banded, body=uptake.body, means=means, given=given)
    in_water = ranged(Body.salt_in_moisture)
    wet = made.where.wet(0.0)
    most = made.where.under_salt() if wet is None else wet
    grams = [step.grams for step in made.steps if step.grams is not None]
    strengths = [each.end.strength for each in made.shared]
    cave = _cave(asked)
    return Planned(
        asked=asked,
        steps=made.steps,
        level=spread(means),
        salt=spread([uptake.body.salt(mean) for mean in means]),
        salt_percent=ranged(Body.salt_percent),
        salt_in_moisture=in_water,
        water_out=ranged(lambda each, mean: each.water - each.water_left(mean)),
        weight_after=ranged(Body.weight_now),
        moisture_after=ranged(
            lambda each, mean: 100.0 * each.water_left(mean) / each.weight_now(mean)
        ),
        uptake=spread([mean / most for mean in means]),
        put_on=_summed(grams) if grams else None,
        brine_after=spread(strengths) if strengths else None,
        floating=lies,
        afloat=wheel.floats,
        cave=cave,
        even_after=even_after(uptake.paste, made.tracks[1].salt(at), wheel.style.diffusivity, cave),
        water_activity=paste_activity(in_water.expected),
        rate=rate,
        diffusivity=wheel.style.diffusivity,
        retention=None if lies else dry_plan(wheel.style).retention,
    )


def _summed(spans: list[Span]) -> Span:
    return Span(
        sum(span.low for span in spans),
        sum(span.expected for span in spans),
        sum(span.high for span in spans),
    )


def _cave(asked: Asked) -> float:
    """Where it evens out [degC]."""
    last = asked.style.stages[-1].temperature if asked.style.stages else None
    edges = [] if last is None else [edge for edge in (last.low, last.high) if edge is not None]
    return sum(edges) / len(edges) if edges else asked.temperature
