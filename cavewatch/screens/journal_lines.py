"""Entries of the journal as lines: one for the list, and the whole of one below it."""

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core import journal
from cavewatch.core.journal import Entry, Voided
from cavewatch.core.style import StyleBook
from cavewatch.screens import wording
from cavewatch.screens.details import fact
from cavewatch.screens.lines import Line, Part, Role, clean, fit, pad, spread, width_of
from cavewatch.screens.plan import NARROW
from cavewatch.units import Display

_INITIALS = 5
_SOON = 900.0
"""What was written so soon after it happened is not worth a word in the list [s]; judgement."""
_LEAST = 24
"""Cells that are left to what was done before anything else is said beside it."""


@dataclass(frozen=True, slots=True)
class Told:
    """An entry with what it has to do with."""

    entry: Entry
    void: Entry | None = None
    """What voids it; None while it counts."""
    mended: Entry | None = None
    """What it voids; None for an entry of another kind."""


def journal_line(told: Told, now: float, zone: ZoneInfo, display: Display, width: int) -> Line:
    """When, who and what; beside it what does not count any more, or when it was written."""
    entry, void = told.entry, told.void
    role = Role.PLAIN if void is None and told.mended is None else Role.FAINT
    words = clean(_words(told, display))
    left = (
        Part(f"{_when(entry.at, now, zone, width < NARROW)}  ", Role.FAINT),
        Part(pad(clean(entry.by), _INITIALS), Role.FAINT),
        Part(f"void: {words}" if void is not None else words, role),
    )
    right: Line = ()
    if void is not None:
        right = (Part(clean(_by_whom(void)), Role.CAUTION),)
    elif abs(entry.written - entry.at) >= _SOON:
        right = (Part(f"written {clock.moment(entry.written, now, zone)}", Role.FAINT),)
    if width_of((*left, *right)) + 2 <= width:
        return spread(left, right, width)
    # Why an entry is void is told even where what it said has to give way.
    room = width - width_of(left[:2]) - _LEAST
    return spread(left, fit(right, room), width) if void and room > 0 else fit(left, width)


def entry_lines(
    told: Told, styles: StyleBook, now: float, zone: ZoneInfo, display: Display, width: int
) -> list[Line]:
    """The whole of an entry, with what it corrects and what corrects it."""
    entry, void, mended = told.entry, told.void, told.mended
    lines = [
        *fact(f"entry {entry.id}", _words(told, display), width, Role.STRONG),
        *fact("when", f"{_moment(entry.at, zone)}, by {entry.by or 'nobody named'}", width),
    ]
    if void is not None:
        when = clock.moment(void.at, now, zone)
        why = f": {void.act.why}" if isinstance(void.act, Voided) and void.act.why else ""
        words = f"by {void.by or 'nobody named'}, {when} (entry {void.id}){why}"
        lines += fact("void", words, width, Role.CAUTION)
    if mended is not None:
        words = f"entry {mended.id} of {_moment(mended.at, zone)}, by {mended.by}: "
        lines += fact("corrects", words + wording.act_words(mended.act, display), width)
    if _late(entry):
        after = clock.duration(abs(entry.written - entry.at))
        side = "after" if entry.written > entry.at else "before"
        lines += fact("written", f"{_moment(entry.written, zone)}, {after} {side} it", width)
    lines += fact("why", getattr(entry.act, "why", ""), width)
    until = getattr(entry.act, "until", None)
    if until is not None:
        lines += fact("until", _moment(until, zone), width)
    return [*lines, *_of_make(entry, styles, display, width)]


def _of_make(entry: Entry, styles: StyleBook, display: Display, width: int) -> list[Line]:
    """What a make is."""
    act = entry.act
    if not isinstance(act, journal.Made):
        return []
    style = styles[act.style].name if act.style in styles else act.style
    words = f"{style}, {display.mass(act.weight)} each, {act.method}"
    words += f", {display.shape(act.shape)}" if act.shape is not None else ""
    words += f", lot {act.lot}" if act.lot else ""
    return fact("make", words, width)


def _words(told: Told, display: Display) -> str:
    words = wording.act_words(told.entry.act, display)
    if told.mended is not None:
        words += f": {wording.act_words(told.mended.act, display)}"
    return words


def _by_whom(void: Entry) -> str:
    why = void.act.why if isinstance(void.act, Voided) else ""
    return f"{void.by}: {why}" if why else f"void by {void.by}"


def _late(entry: Entry) -> bool:
    """Whether it was written at another time than it happened."""
    return abs(entry.written - entry.at) >= wording.MINUTE


def _when(at: float, now: float, zone: ZoneInfo, short: bool) -> str:
    """'Tue  3 Mar 15:00', or with the year for another one; 12 or 16 cells."""
    there = clock.local(at, zone)
    if there.year != clock.local(now, zone).year:
        return f"{there.day:2} {there:%b %Y}{' ' if short else f'{there: %H:%M}'}"
    return f"{'' if short else f'{there:%a} '}{there.day:2} {there:%b %H:%M}"


def _moment(at: float, zone: ZoneInfo) -> str:
    there = clock.local(at, zone)
    return f"{there:%a} {there.day} {there:%b %Y %H:%M}"
