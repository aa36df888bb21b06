"""Which stage of its life a wheel is in, when its clocks started, and how far it has ripened."""

from dataclasses import dataclass

from cavewatch.core.place import PlaceKind
from cavewatch.core.style import Stage, Start
from cavewatch.core.wheel import Standing, Wheel

HOUR = 3600.0
DAY = 24 * HOUR


@dataclass(frozen=True, slots=True)
class Staged:
    """A stage as one wheel goes through it."""

    stage: Stage
    since: float
    """When it began [s since 1970 UTC]."""
    until: float | None
    """When the next one begins [s since 1970 UTC]; None for the last."""


def started(wheel: Wheel, start: Start) -> float | None:
    """When a clock of this kind started for a wheel [s since 1970 UTC]; None: not yet.

    What is not on record falls back to the making: the renneting and the
    moulding, and the end of a salting that was over before the first entry.
    """
    if start is Start.MAKE:
        return wheel.made_at
    if start is Start.RENNETING:
        return wheel.made_at if wheel.renneted_at is None else wheel.renneted_at
    if start is Start.MOULDING:
        return wheel.made_at if wheel.moulded_at is None else wheel.moulded_at
    if start is Start.CAVE_ENTRY:
        return next((stay.at for stay in wheel.stays if stay.kind is PlaceKind.CAVE), None)
    if wheel.salted_out_at is None and wheel.standing is Standing.AGING:
        return wheel.made_at
    return wheel.salted_out_at


def staged(wheel: Wheel, at: float) -> Staged | None:
    """The stage that a wheel is in, with its beginning and end [at: s since 1970 UTC].

    None while it is in salt and for a style without stages. Days are counted
    from the style's own start, so that salting takes from the first stage where
    that is the renneting; a wheel whose clock has not started is in the first.
    """
    if wheel.standing is not Standing.AGING or not wheel.style.stages:
        return None
    since = started(wheel, wheel.style.stages_start)
    if since is None:
        return Staged(wheel.style.stages[0], wheel.since, None)
    for stage in wheel.style.stages[:-1]:
        until = since + (stage.days or 0.0) * DAY
        if at < until:
            return Staged(stage, since, until)
        since = until
    return Staged(wheel.style.stages[-1], since, None)


def stage_of(wheel: Wheel, at: float) -> Stage | None:
    """The stage alone."""
    found = staged(wheel, at)
    return None if found is None else found.stage


def ripened(wheel: Wheel, at: float) -> float:
    """The part of its style's loss of weight that a wheel has behind it at a time [-].

    A straight line from the end of salting, or from its coming onto the record where it was
    over by then, to the age at which the style is usually ready.
    """
    begun = wheel.salted_out_at
    if begun is None and not wheel.history and wheel.stays:
        begun = wheel.stays[0].at
    ready = wheel.style.ready_days
    if begun is None or at <= begun:
        return 0.0
    until = begun if ready is None else wheel.made_at + ready.value * DAY
    return 1.0 if at >= until else (at - begun) / (until - begun)
