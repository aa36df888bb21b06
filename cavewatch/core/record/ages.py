"""How old a wheel is by the clock of a rule, and the days that raw milk asks for.

Where a rule wants warmth, only time counts of which the temperature is on record:
a gap may have been cold. What does not count is told beside what does.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from cavewatch.core.journal import Treatment
from cavewatch.core.place import PlaceKind
from cavewatch.core.stages import DAY, HOUR, started
from cavewatch.core.style import MinimumAge, Start
from cavewatch.core.wheel import Wheel

RAW_MILK = MinimumAge(
    rule="raw milk, USA",
    days=60,
    start=Start.MAKE,
    source="21 CFR 133.113, 133.150, 133.182 and 133.187: at least 60 days at 35 degF "
    "(1.67 degC) or warmer; judgement: the same for a style that has no such rule of its own",
    warm=1.67,
)
"""Where the milk was not pasteurised and the style says nothing of its own."""


@dataclass(frozen=True, slots=True)
class Air:
    """What a place was like over a stretch of time, an hour say."""

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
    cold: float
    """Too cold to count [day]."""
    unknown: float
    """Of which the temperature is not on record, so that they do not count [day]."""
    stored: float
    """In a store, where that does not count [day]."""
    reached_at: float | None
    """When it is old enough if all counts from now on, perhaps in the past [s since 1970
    UTC]; None while the clock has not started."""
    stored_too_long: bool = False
    """Whether it stood longer in a store than the rule allows."""


@dataclass(slots=True)
class _Sums:
    """Seconds of each kind so far, and when the rule's days were full."""

    wanted: float
    counts: float = 0.0
    cold: float = 0.0
    unknown: float = 0.0
    stored: float = 0.0
    full_at: float | None = None

    def count(self, since: float, until: float) -> None:
        """A stretch that counts."""
        left = self.wanted - self.counts
        self.counts += until - since
        if self.full_at is None and self.counts >= self.wanted:
            self.full_at = since + left


def counted(rule: MinimumAge, wheel: Wheel, at: float, airs: Iterable[Air] = ()) -> Counted:
    """How old a wheel is by a rule at a time [s since 1970 UTC].

    A stretch counts unless the wheel stood in a store that does not count, or, where the
    rule wants warmth, the place is not known to have been warm enough.

    Args:
        rule: with its own start and what it leaves out.
        wheel: with the places that it was in.
        at: the time.
        airs: what is known of the places; those of one place do not overlap.
    """
    start = started(wheel, rule.start)
    if start is None or start > at:
        return Counted(0.0, 0.0, 0.0, 0.0, None)
    known: dict[str, list[Air]] = {}
    for air in airs:
        known.setdefault(air.place, []).append(air)
    sums = _Sums(rule.days * DAY)
    too_long = False
    for since, until, place, kind in _stays(wheel, start, at):
        if rule.storage is not None and kind is PlaceKind.STORE:
            sums.stored += until - since
            too_long = too_long or until - since > rule.storage * HOUR
        elif rule.warm is None:
            sums.count(since, until)
        else:
            _by_warmth(sums, rule.warm, since, until, known.get(place, []))
    return Counted(
        sums.counts / DAY,
        sums.cold / DAY,
        sums.unknown / DAY,
        sums.stored / DAY,
        at + sums.wanted - sums.counts if sums.full_at is None else sums.full_at,
        too_long,
    )


def raw_milk(treatment: Treatment | None, wheel: Wheel) -> MinimumAge | None:
    """The rule for days at warmth that a wheel is under by its milk; None for pasteurised milk
    and where the milk is not on record.
    """
    if treatment not in (Treatment.RAW, Treatment.HEATED):
        return None
    return next((rule for rule in wheel.style.ages if rule.warm is not None), RAW_MILK)


def _stays(
    wheel: Wheel, start: float, at: float
) -> Iterator[tuple[float, float, str, PlaceKind | None]]:
    """From when until when it was where; nowhere before it was entered."""
    first = wheel.stays[0].at if wheel.stays else at
    if start < first:
        yield start, min(first, at), "", None
    ends = [*(stay.at for stay in wheel.stays[1:]), at]
    for stay, end in zip(wheel.stays, ends, strict=True):
        since, until = max(stay.at, start), min(end, at)
        if until > since:
            yield since, until, stay.place, stay.kind


def _by_warmth(sums: _Sums, warm: float, since: float, until: float, airs: Iterable[Air]) -> None:
    """Share out a stay by what is known of its place."""
    seen = since
    for air in sorted(airs, key=lambda air: air.since):
        begin, end = max(air.since, seen), min(air.until, until)
        if end <= begin:
            continue
        sums.unknown += begin - seen
        if air.coldest >= warm:
            sums.count(begin, end)
        else:
            sums.cold += end - begin
        seen = end
    sums.unknown += until - seen
