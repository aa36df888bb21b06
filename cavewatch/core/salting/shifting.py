"""By how much a lift has moved since the wheel went in, and why.

The reason is found by holding the few numbers that the plan rests on now against those
that it rested on then. How much each of them moves the lift is estimated by the law of
short times (uptake goes with the brine's salt in water and with the root of time and
diffusivity), which is near enough to tell causes apart; the lift itself is solved.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from cavewatch.core.brine.strength import in_water
from cavewatch.core.countdown import Action, Countdown, Footing, Span, Step
from cavewatch.core.salting.clock import warmth_factor
from cavewatch.core.salting.guesses import Rate
from cavewatch.core.salting.salted import Track
from cavewatch.core.salting.surroundings import BARRIER, Surroundings
from cavewatch.core.wheel import Event, Wheel

Words = Callable[[float], str]
"""A length of time [s] in words."""
MOVED, MOVED_PART = 600.0, 0.01
"""A shift is told from so much on [s], and from this part of the time in salt [-]; judgement."""
WORTH = 0.25
"""A cause is named if it has at least this part of the effect of the first; judgement [-]."""
AT_MOST = 2
"""Causes that are named."""


def footing(
    wheel: Wheel,
    where: Surroundings,
    track: Track,
    steps: Sequence[Step],
    at: float,
    aim: Span,
    rate: Rate,
) -> Footing:
    """What the plan of a wheel rests on.

    Args:
        wheel: in salt.
        where: the place that it is in.
        track: as expected, up to now.
        steps: of its countdown.
        at: now [s since 1970 UTC].
        aim: salt to lift at [% of the weight then].
        rate: of its style.
    """
    begun, lift = wheel.history[0].at, steps[-1].at.expected
    touch, action = (Event.TURNED, Action.TURN)
    if not where.brined:
        touch, action = (Event.SALTED, Action.COAT)
    done = [happening.at for happening in wheel.history if happening.event is touch]
    ahead = [step for step in steps if step.action is action]
    put_on = sum(happening.grams for happening in wheel.history)
    put_on += sum(step.grams.expected for step in ahead if step.grams is not None)
    end = max(lift, begun + 1.0)
    return Footing(
        lift=lift,
        aim=aim.expected,
        strength=where.mean_strength(begun, end),
        temperature=where.warmth.equivalent(begun, end),
        rate=rate.value,
        touches=(*done, *(step.at.expected for step in ahead)),
        put_on=0.0 if where.brined else put_on,
        bare=track.bare(at),
    )


def held(before: Countdown | None, found: Countdown, wheel: Wheel, words: Words) -> Countdown:
    """A new countdown with the plan that was pinned when the salting began, held against it.

    Args:
        before: the wheel's countdown until now, if it had one.
        found: with its own plan pinned.
        wheel: in salt.
        words: a length of time [s] in words.
    """
    if before is None or before.pinned is None or before.started_at != found.started_at:
        return found
    then, now = before.pinned, found.pinned
    assert now is not None
    shift, length = now.lift - then.lift, then.lift - found.started_at
    told = ""
    if abs(shift) >= max(MOVED, MOVED_PART * length):
        causes = [c for c in _causes(then, now, wheel, length, words) if c[0] * shift > 0]
        causes.sort(key=lambda cause: -abs(cause[0]))
        named = [why for share, why in causes[:AT_MOST] if abs(share) >= WORTH * abs(causes[0][0])]
        told = f"lift {words(shift)} {'later' if shift > 0 else 'sooner'} than planned"
        told += f": {', '.join(named)}" if named else ""
    return replace(found, pinned=then, shift=told)


def _causes(
    then: Footing, now: Footing, wheel: Wheel, length: float, words: Words
) -> Iterator[tuple[float, str]]:
    """What is otherwise than planned: the part by which it lengthens the salting, and in words."""
    yield (now.aim / then.aim) ** 2 - 1.0, f"target {_but(now.aim, then.aim, '# %')}"
    if now.strength and then.strength:
        wet = [in_water(min(strength, BARRIER)) for strength in (then.strength, now.strength)]
        said = f"brine {_but(now.strength, then.strength, '# % in the mean', '# %')}"
        yield (wet[0] / wet[1]) ** 2 - 1.0, said
    warmth = [warmth_factor(min(max(each.temperature, 0.0), 40.0)) for each in (then, now)]
    yield warmth[0] / warmth[1] - 1.0, _but(now.temperature, then.temperature, "{# degC}")
    learned = f"rate {now.rate:.2g}, not {then.rate:.2g}, as learned since"
    yield then.rate / now.rate - 1.0, learned
    late = _late(then, now, wheel)
    if now.strength is None:
        yield late / length, f"coated {words(late)} late"
        # A coat lasts the longer, with the square, the more it is.
        if then.put_on:
            more = f"{_but(now.put_on, then.put_on, '{# g}')} of salt"
            yield (now.put_on / then.put_on) ** 2 - 1.0, more
        return
    bare = now.bare - then.bare
    part = 2.0 * wheel.shape.face / wheel.shape.area * bare / length
    said = f"turned {words(late)} late" if late >= bare / 2 else f"face bare for {words(bare)}"
    yield part, said


def _late(then: Footing, now: Footing, wheel: Wheel) -> float:
    """How late it was turned or coated last, against the plan [s]; 0 if never, or not planned."""
    touch = Event.SALTED if now.strength is None else Event.TURNED
    done = sum(happening.event is touch for happening in wheel.history)
    if not 0 < done <= min(len(then.touches), len(now.touches)):
        return 0.0
    return now.touches[done - 1] - then.touches[done - 1]


def _but(now: float, then: float, form: str, again: str = "") -> str:
    """'18.9 %, not 20.0 %', with as many decimals as tell the two apart; # stands for a number."""
    decimals = 1 if f"{now:.1f}" != f"{then:.1f}" else 2
    said, before = (f"{value:.{decimals}f}" for value in (now, then))
    return f"{form.replace('#', said)}, not {(again or form).replace('#', before)}"
