"""The upper part of the page of a wheel: its life, the cut and the uptake, as there is room."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest
from zoneinfo import ZoneInfo

from cavewatch.core.countdown import Countdown
from cavewatch.core.journal import Entry
from cavewatch.core.record import RawMilk
from cavewatch.core.uptake import Cut, Uptake
from cavewatch.core.wheel import Wheel
from cavewatch.screens.lines import Line, Part, Role, fit, width_of, wrap
from cavewatch.screens.plan import NARROW
from cavewatch.screens.wheel import curve, section
from cavewatch.screens.wheel.life import life_lines, stations
from cavewatch.screens.wheel.moments import Chosen, moments_line, time_of
from cavewatch.units import Display

WORKING = "working out how its salt lies ..."
NONE = "It was salted before its first entry, or in the curd: how its salt lies is not known."
_BESIDE = 3
"""Cells between the cut and the curve."""
_HIGHEST = 13
"""Rows that a picture takes at most."""
_CURVE = 2
_LOWEST = 5
"""With fewer rows none is drawn."""


@dataclass(frozen=True, slots=True)
class Worked:
    """What is known of a wheel's salt, and of its days, by now."""

    uptake: Uptake | None = None
    cut: Cut | None = None
    raw: RawMilk | None = None
    """The days at warmth that its milk asks for."""
    busy: bool = False
    """It is being worked out, perhaps anew."""
    trouble: str = ""
    """Why it cannot be worked out; empty if it can."""


@dataclass(frozen=True, slots=True)
class Looking:
    """What was chosen."""

    chosen: Chosen
    """The moment of the cut."""
    view: int = 0
    """0 for the cut and the curve, 1 for the cut alone, 2 for the curve, 3 for neither."""


@dataclass(frozen=True, slots=True)
class Picture:
    """Lines, and where in them is what can be clicked."""

    lines: tuple[Line, ...]
    moments: int
    """The line of the moments; negative if there is none."""
    curve: tuple[int, int, int]
    """First line, number of lines and first cell of the curve; no lines if it is not there."""
    width: int
    """Of the lines of the curve [cells]."""


def picture(
    wheel: Wheel,
    countdown: Countdown | None,
    worked: Worked,
    looking: Looking,
    entries: Sequence[Entry],
    now: float,
    zone: ZoneInfo,
    display: Display,
    width: int,
    rows: int,
    ascii_only: bool,
) -> Picture:
    """Draw it.

    Args:
        wheel: whose page it is.
        countdown: as it stands, for a wheel in salt.
        worked: what is known of its salt.
        looking: what was chosen.
        entries: the journal.
        now: [s since 1970 UTC]
        zone: in which people there read the time.
        display: the viewer's units.
        width: of a line [cells].
        rows: lines that there is room for.
        ascii_only: for a terminal without braille.
    """
    life = life_lines(stations(wheel, countdown, now), now, zone, width, ascii_only)
    uptake, cut = worked.uptake, worked.cut
    if uptake is None or cut is None or looking.view > _CURVE:
        said = worked.trouble or (WORKING if worked.busy else NONE)
        told = [] if uptake is not None else [(Part(t, Role.FAINT),) for t in wrap(said, width)]
        return Picture((*life, *told), -1, (0, 0, 0), width)
    moments = moments_line(looking.chosen, uptake.moments, now, zone, width)
    head = [*life, moments]
    at = time_of(looking.chosen, uptake.moments, now)
    both = looking.view == 0 and width >= NARROW
    with_cut = looking.view < _CURVE
    foot: list[Line] = []
    if with_cut:
        foot = section.legend_lines(cut, width, ascii_only)
        foot += section.told_lines(cut, width) if width >= NARROW else []
    elif looking.view == _CURVE:
        foot = [fit((Part(curve.LEGEND, Role.FAINT),), width)]
    high = min(_HIGHEST, rows - len(head) - len(foot))
    if high < _LOWEST:
        return Picture((*head, *foot), len(life), (0, 0, 0), width)
    left: list[Line] = []
    if with_cut:
        left = section.section_lines(cut, width // 2 if both else width, high, ascii_only)
        left = [(), *left] if both and len(left) < high else left
    if both or not with_cut:
        indent = max((width_of(line) for line in left), default=0) + (_BESIDE if left else 0)
        right = curve.curve_lines(
            uptake, wheel, entries, at, zone, display, width - indent, high, ascii_only
        )
        beside = [
            (*a, Part(" " * (indent - width_of(a))), *b)
            for a, b in zip_longest(left, right, fillvalue=())
        ]
        spot = len(head), len(beside), indent
        return Picture((*head, *beside, *foot), len(life), spot, width - indent)
    return Picture((*head, *left, *foot), len(life), (0, 0, 0), width)


VIEWS = ("the cut and the uptake", "the cut", "the uptake", "neither")
"""In the order of stepping through them."""
