"""The moments at which a wheel is cut through: which there are, and which one is chosen."""

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.uptake import Moment, When
from cavewatch.screens.lines import Line, Part, Role, fit
from cavewatch.screens.plan import NARROW

Chosen = When | float
"""A named moment, or any other one [s since 1970 UTC]."""


def time_of(chosen: Chosen, moments: Sequence[Moment], now: float) -> float:
    """Which time was chosen [s since 1970 UTC]; the present for one that is not known yet."""
    if isinstance(chosen, float):
        return chosen
    if chosen is When.NOW:
        return now
    return next((m.at.expected for m in moments if m.when is chosen), now)


def stepped(chosen: Chosen, moments: Sequence[Moment], now: float, by: int) -> Chosen:
    """The named moment so many steps later; after the last comes the first."""
    names = [moment.when for moment in moments]
    if not names:
        return chosen
    if isinstance(chosen, When):
        return names[(names.index(chosen) + by) % len(names)]
    times = [time_of(name, moments, now) for name in names]
    if by > 0:
        return next((n for n, at in zip(names, times, strict=True) if at > chosen), names[0])
    before = [n for n, at in zip(names, times, strict=True) if at < chosen]
    return before[-1] if before else names[-1]


def moment_parts(
    chosen: Chosen, moments: Sequence[Moment], width: int
) -> list[tuple[When | None, Part]]:
    """The moments in words, the chosen one in brackets; that one alone where there is no room."""
    found: list[tuple[When | None, Part]] = [
        (
            moment.when,
            Part(f"[{moment.when}]", Role.STRONG)
            if moment.when is chosen
            else Part(f" {moment.when} ", Role.FAINT),
        )
        for moment in moments
        if width >= NARROW or moment.when is chosen
    ]
    if isinstance(chosen, float):
        found.append((None, Part("[then]", Role.STRONG)))
    return found


def moments_line(
    chosen: Chosen, moments: Sequence[Moment], now: float, zone: ZoneInfo, width: int
) -> Line:
    """The moments, and the time of the chosen one."""
    at = time_of(chosen, moments, now)
    parts = [part for _, part in moment_parts(chosen, moments, width)]
    return fit((*parts, Part(f"  {clock.moment(at, now, zone)}", Role.STRONG)), width)


def moment_at(chosen: Chosen, moments: Sequence[Moment], width: int, cell: int) -> When | None:
    """The moment whose words are in this cell."""
    end = 0
    for when, part in moment_parts(chosen, moments, width):
        end += len(part.text)
        if cell < end:
            return when
    return None
