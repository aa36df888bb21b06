"""A wheel in dry salt: coats at the style's hours, off when the last one is used up."""

from collections.abc import Mapping

from cavewatch.core.countdown import Action, Span, Step
from cavewatch.core.salting.brined import Solved
from cavewatch.core.salting.guesses import Guesses, dry_plan, spread
from cavewatch.core.salting.salted import Track
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.wheel import Event, Happening, Wheel

HOUR = 3600.0
USUAL_GAP = 12.0
"""Between coats where a style has only one [h]; common practice, no source."""
LONGEST = 72 * HOUR
"""A coat that is not used up by then has drained away; judgement [s]."""


def solved(
    wheel: Wheel, surroundings: Mapping[str, Surroundings], guesses: Guesses, at: float
) -> Solved:
    """What is left to do with a wheel in dry salt: the coats, and taking it off."""
    plan = dry_plan(wheel.style)
    tracks = [Track.of(guess, surroundings, wheel.history) for guess in guesses]
    start = wheel.history[0].at
    coats = [happening for happening in wheel.history if happening.event is Event.SALTED]
    ahead = [start + hours * HOUR for hours in plan.hours[len(coats) :]]
    on = sum(coat.grams for coat in coats)
    left = [
        max(dose / 100.0 * wheel.weight - on, 0.0) / max(len(ahead), 1)
        for dose in (plan.dose.low, plan.dose.value, plan.dose.high)
    ]
    steps = [Step(Action.COAT, Span(due, due, due), spread(left)) for due in ahead]
    planned = tracks
    for due in ahead:
        coat = Happening(max(at, due), Event.SALTED, wheel.place, left[1])
        planned = [track.then(coat) for track in planned]
    gap = (plan.hours[-1] - plan.hours[-2] if len(plan.hours) > 1 else USUAL_GAP) * HOUR
    last = max([at, *ahead]) if ahead else wheel.history[-1].at
    steps.append(Step(Action.LIFT, spread([off(track, last, gap) for track in planned])))
    return Solved(tracks, planned, steps, "")


def off(track: Track, last: float, gap: float) -> float:
    """When the last coat is used up, and at least a usual gap after it went on."""
    longest = last + LONGEST
    return min(max(last + gap, track.used_up(last)), longest)
