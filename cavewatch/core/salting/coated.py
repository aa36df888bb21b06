"""A wheel in dry salt: coats at the style's hours, off when the last one is taken up."""

from collections.abc import Mapping

from cavewatch.core.countdown import Action, Span, Step
from cavewatch.core.salting.guesses import dry_plan, guesses, spread
from cavewatch.core.salting.salted import Track
from cavewatch.core.salting.surroundings import Surroundings
from cavewatch.core.wheel import Event, Happening, Wheel

HOUR = 3600.0
USUAL_GAP = 12.0
"""Between coats where a style has only one [h]; common practice, no source."""
LONGEST = 72 * HOUR
"""A coat that is not taken up by then has drained away; judgement [s]."""


def steps(
    wheel: Wheel, surroundings: Mapping[str, Surroundings], at: float
) -> tuple[list[Track], list[Step], str]:
    """Tracks up to now (slow, expected, fast), the coats and the end that are left, a caution."""
    plan = dry_plan(wheel.style)
    tracks = [
        Track.of(uptake, surroundings, wheel.history)
        for uptake in guesses(wheel, beyond_barrier=False)
    ]
    start = wheel.history[0].at
    coats = [happening for happening in wheel.history if happening.event is Event.SALTED]
    ahead = [start + hours * HOUR for hours in plan.hours[len(coats) :]]
    on = sum(coat.grams for coat in coats)
    left = [
        max(dose / 100.0 * wheel.weight - on, 0.0) / max(len(ahead), 1)
        for dose in (plan.dose.low, plan.dose.value, plan.dose.high)
    ]
    found = [Step(Action.COAT, Span(due, due, due), spread(left)) for due in ahead]
    planned = tracks
    for due in ahead:
        coat = Happening(max(at, due), Event.SALTED, wheel.place, left[1])
        planned = [track.then(coat) for track in planned]
    gap = (plan.hours[-1] - plan.hours[-2] if len(plan.hours) > 1 else USUAL_GAP) * HOUR
    found.append(Step(Action.LIFT, spread([_done(track, gap) for track in planned])))
    return tracks, found, ""


def _done(track: Track, gap: float) -> float:
    """When the last coat is taken up, and at least a usual gap after it went on."""
    last = track.states[-1]
    longest = last.at + LONGEST
    taken_up = longest if track.spent is None else track.spent.at
    return min(max(last.at + gap, taken_up), longest)
