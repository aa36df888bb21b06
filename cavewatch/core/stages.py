"""Which stage of its life a wheel is in, and how old it is by a rule's own clock."""

from collections.abc import Iterable
from dataclasses import dataclass

from cavewatch.core.place import PlaceKind
from cavewatch.core.style import MinimumAge, Stage, Start
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


@dataclass(frozen=True, slots=True)
class Air:
    """What a place was like over a stretch of time."""

    place: str
    since: float
    """[s since 1970 UTC]"""
    until: float
    """[s since 1970 UTC]"""
    coldest: float
    """Lowest temperature [degC]."""


@dataclass(frozen=True, slots=True)
class Counted:
    """A wheel's age by a rule."""

    days: float
    """That count [day]."""
    left_out: float
    """That do not [day]."""
    reached_at: float | None
    """When it is old enough if all counts from now on, perhaps in the past [s since 1970
    UTC]; None while the clock has not started."""
    stored_too_long: bool = False
    """Whether it stood longer in a store than the rule allows."""


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


def counted(rule: MinimumAge, wheel: Wheel, at: float, airs: Iterable[Air] = ()) -> Counted:
    """How old a wheel is by a rule at a time [s since 1970 UTC].

    A stretch counts unless the wheel stood in a store that does not count, or
    in a place that is known to have been too cold then.

    Args:
        rule: with its own start and what it leaves out.
        wheel: with the places that it was in.
        at: the time.
        airs: what is known of the places; those of one place do not overlap.
    """
    start = started(wheel, rule.start)
    if start is None or start > at:
        return Counted(0.0, 0.0, None)
    ends = [*(stay.at for stay in wheel.stays[1:]), at]
    out: list[tuple[float, float]] = []
    too_long = False
    airs = tuple(airs)
    for stay, end in zip(wheel.stays, ends, strict=True):
        since, until = max(stay.at, start), min(end, at)
        if rule.storage is not None and stay.kind is PlaceKind.STORE:
            out.append((since, until))
            too_long = too_long or until - since > rule.storage * HOUR
        elif rule.warm is not None:
            out += [
                (max(air.since, since), min(air.until, until))
                for air in airs
                if air.place == stay.place and air.coldest < rule.warm
            ]
    lost = sum(until - since for since, until in out if until > since)
    reached = start + rule.days * DAY + lost
    return Counted((at - start - lost) / DAY, lost / DAY, reached, too_long)
