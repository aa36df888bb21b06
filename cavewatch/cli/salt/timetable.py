"""A plan on the wall clock: forwards from going in, or backwards from being out."""

import math
from dataclasses import dataclass, replace
from typing import Self
from zoneinfo import ZoneInfo

from cavewatch import clock, units
from cavewatch.core.errors import CavewatchError
from cavewatch.core.salting.asked import Asked
from cavewatch.core.salting.planning import Planned, plan
from cavewatch.core.salting.waking import DAY, Timetable, Waking, backwards, forwards

MOVED = 600.0
"""Less than this is not told as a shift [s]."""


@dataclass(frozen=True, slots=True)
class Times:
    """When it can be, on the wall clock."""

    in_at: float | None
    """It goes in [s since 1970 UTC]; None: as late as fits `out_by`."""
    out_by: float | None
    """It must be out [s since 1970 UTC]; None: when it is ready."""
    awake: tuple[float, float] | None
    """When somebody is up [s since local midnight]; None: always."""

    @classmethod
    def of(
        cls, in_at: str | None, out_by: str | None, awake: str | None, zone: ZoneInfo, now: float
    ) -> Self:
        """As they were typed.

        Raises:
            CavewatchError: for a time to be out that is past, and without any time.
        """
        out = None if out_by is None else clock.instant(out_by, now, zone, ahead=True)
        if out is not None and out <= now:
            raise CavewatchError(
                f"{units.quoted(out_by or '')} is past; write a time to come, such as 'Fri 06:00'"
            )
        if in_at is None and out is None:
            raise CavewatchError(
                "--awake wants a time to begin with: --in-at '16:30' or --out-by '06:00'"
            )
        return cls(
            None if in_at is None else clock.instant(in_at, now, zone, ahead=True),
            out,
            units.waking_hours(awake) if awake else None,
        )


@dataclass(frozen=True, slots=True)
class Scheduled:
    """A plan with its times on the wall clock."""

    planned: Planned
    """As it is then done."""
    best: Planned
    """As it would be best."""
    wanted: tuple[float, ...]
    """When it would be best turned or coated for the lift that it gets [s after going in]."""
    table: Timetable
    zone: ZoneInfo
    now: float
    """[s since 1970 UTC]"""
    times: Times
    """As asked."""
    remarks: tuple[str, ...]
    """What had to be moved, and by how much."""

    def moment(self, after: float) -> str:
        """A time after the going in [s], as people say it."""
        return clock.moment(self.table.in_at + after, self.now, self.zone)

    def iso(self, after: float) -> str:
        """The same in ISO 8601."""
        return clock.iso(self.table.in_at + after, self.zone)


def scheduled(asked: Asked, times: Times, zone: ZoneInfo, now: float) -> Scheduled:
    """The plan that fits going in, being out and waking hours.

    Raises:
        CavewatchError: for times that cannot be kept.
    """
    best = plan(asked)
    if not best.reached:
        raise CavewatchError(
            "there is no lift to put on the clock, since the target is not reached; "
            "leave out when it goes in and when it is out to see why"
        )
    waking = _waking(times, zone)
    lift, touches = best.lift.expected, best.touches
    out_by = math.inf if times.out_by is None else times.out_by
    if times.in_at is None:
        table = backwards(out_by, touches, lift, waking, now)
    elif times.in_at >= out_by:
        raise CavewatchError("it would have to be out before it goes in; check both times")
    else:
        table = forwards(times.in_at, touches, lift, waking, out_by)
    # Another lift than the best has other turns.
    held = plan(replace(asked, hold=table.lift - table.in_at))
    table = forwards(table.in_at, held.touches, held.lift.expected, waking, out_by)
    done = replace(
        asked,
        hold=table.lift - table.in_at,
        touches=tuple(at - table.in_at for at in table.touches),
    )
    made = Scheduled(plan(done), best, held.touches, table, zone, now, times, ())
    return replace(made, remarks=_remarks(made))


def _waking(times: Times, zone: ZoneInfo) -> Waking:
    wakes, sleeps = times.awake or (0.0, DAY)

    def of_day(at: float) -> float:
        local = clock.local(at, zone)
        return local.hour * 3600.0 + local.minute * 60.0 + local.second

    return Waking(wakes, sleeps, of_day)


def _remarks(made: Scheduled) -> tuple[str, ...]:
    best, table, found = made.best, made.table, []
    lift = table.lift - table.in_at
    if abs(lift - best.lift.expected) >= MOVED:
        found.append(
            f"the lift is moved from {made.moment(best.lift.expected)} to {made.moment(lift)}"
        )
    if table.dropped == 0:
        for wanted, at in zip(made.wanted, table.touches, strict=True):
            after = at - table.in_at
            if abs(after - wanted) >= MOVED:
                what = "a turn" if made.planned.floating else "a coat"
                found.append(f"{what} is moved from {made.moment(wanted)} to {made.moment(after)}")
    else:
        found.append(
            f"{table.dropped} of {len(made.wanted)} turns or coats fall away: nobody is up in time"
        )
    banded = best.lift.low < best.lift.high
    if banded and not best.lift.low <= lift <= best.lift.high:
        early = "too little" if lift < best.lift.low else "too much"
        found.append(f"that is beyond the range of the lift: it takes up {early} salt")
    return tuple(found)
