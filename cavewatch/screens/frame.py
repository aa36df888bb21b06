"""The lines above and below the lists: title and time, the most urgent thing, the replay."""

from functools import partial
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.dairy import Dairy
from cavewatch.core.urgent import calling, urgent
from cavewatch.screens.desk import ReplayControls
from cavewatch.screens.gauge import progress
from cavewatch.screens.lines import Line, Part, Role, clean, cut, spread, width_of, wrap
from cavewatch.screens.plan import NARROW, WIDE
from cavewatch.units import Display

_OFFER: Line = (Part("  u", Role.STRONG), Part(" takes it back", Role.FAINT))
OFFER_CELLS = width_of(_OFFER)
_PERCENT = 5
"""Cells of the progress in figures."""


def head_lines(
    title: str, page: str, notice: str, now: float, zone: ZoneInfo, width: int
) -> tuple[Line, ...]:
    """The dairy, the page and the time; then what is wrong with the works, if anything is.

    A notice shares the first line where it fits whole.
    """
    time = Part(f"{clock.local(now, zone):{'%H:%M' if width < NARROW else '%a %d %b %H:%M'}}")
    name: Line = (Part(clean(title), Role.FAINT),)
    if page:
        name = (Part(clean(page), Role.STRONG),)
        if width >= NARROW:
            name = Part(f"{clean(title)} · ", Role.FAINT), *name
    if not notice:
        return (spread(name, (time,), width),)
    told = Part(clean(notice), Role.CAUTION)
    if width_of((*name, told, time)) + 4 <= width:
        return (spread((*name, Part("  "), told), (time,), width),)
    texts = wrap(told.text, width)
    most = 3 if width < NARROW else 2
    if len(texts) > most:
        texts = [*texts[: most - 1], cut(" ".join(texts[most - 1 :]), width)]
    return spread(name, (time,), width), *((Part(text, told.role),) for text in texts)


def urgent_lines(
    dairy: Dairy, now: float, zone: ZoneInfo, display: Display, width: int
) -> tuple[Line, ...]:
    """The most urgent thing in at most two lines; three on narrow screens.

    Where that is not enough, the last clauses give way to an ellipsis.
    """
    words = urgent(
        dairy,
        now,
        moment=partial(clock.moment, present=now, where=zone),
        length=clock.duration,
        mass=display.mass,
    )
    role = Role.STRONG if calling(dairy, now) is None else Role.ALERT
    most = 3 if width < NARROW else 2
    said = clean(words)
    texts = wrap(said, width)
    while len(texts) > most and ", " in said:
        said = said.rpartition(", ")[0]
        texts = wrap(f"{said} …", width)
    if len(texts) > most:
        texts = [*texts[: most - 1], cut(" ".join(texts[most - 1 :]), width)]
    return tuple((Part(text, role),) for text in texts)


def keys_line(keys: Line, said: Part | None, offered: bool, width: int) -> Line:
    """The keys, or in their place what was said; how to take back what was just entered."""
    offer = _OFFER if offered else ()
    room = width - width_of(offer)
    left = keys if said is None else (Part(cut(clean(said.text), room - 1), said.role),)
    return spread(left, offer, width) if offered else left


def replay_line(controls: ReplayControls, skipping: str, width: int) -> Line:
    """Speed, state and progress of a replay; or where it skips to."""
    bar = progress(controls.progress, _bar_cells(width))
    right = (*bar, Part(f" {controls.progress:4.0%}", Role.FAINT))
    if skipping:
        where = "replay " if width < NARROW else f"replay, on the way {skipping}  "
        return spread((Part(where, Role.FAINT), Part("esc stops", Role.STRONG)), right, width)
    if controls.finished:
        state = "at the end of the log"
    else:
        state = "running" if controls.running else "paused"
    left: Line = (
        Part("replay ", Role.FAINT),
        Part(f"×{controls.speed:g} ", Role.STRONG),
        Part(state, Role.PLAIN if controls.running else Role.CAUTION),
    )
    if width >= NARROW:
        left = *left, Part("  nothing entered is kept", Role.FAINT)
    return spread(left, right, width)


def time_at(controls: ReplayControls, width: int, x: int) -> float | None:
    """The time of the log under a cell of the replay's line; None beside the bar."""
    cells = _bar_cells(width)
    x -= width - cells - _PERCENT
    if not 0 <= x < cells:
        return None
    return controls.start + (x + 0.5) / cells * (controls.end - controls.start)


def _bar_cells(width: int) -> int:
    return 8 if width < NARROW else 20 if width < WIDE else 40
