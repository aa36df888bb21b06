"""The lines above and below the lists: title and time, the most urgent thing, the replay."""

from functools import partial
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.dairy import Dairy
from cavewatch.core.urgent import calling, urgent
from cavewatch.screens.desk import ReplayControls
from cavewatch.screens.gauge import progress
from cavewatch.screens.lines import Line, Part, Role, clean, cut, spread, width_of, wrap
from cavewatch.screens.plan import NARROW
from cavewatch.units import Display


def head_lines(title: str, notice: str, now: float, zone: ZoneInfo, width: int) -> tuple[Line, ...]:
    """Title, notice and time; on narrow screens the notice stands below them."""
    time = Part(f"{clock.local(now, zone):{'%H:%M' if width < NARROW else '%a %d %b %H:%M'}}")
    name = Part(clean(title), Role.FAINT)
    if not notice or width < NARROW:
        below = wrap(clean(notice), width)[:2]
        return spread((name,), (time,), width), *((Part(text, Role.CAUTION),) for text in below)
    told = Part(clean(notice), Role.CAUTION)
    left = width - width_of((told, time)) - 4
    short = Part(f"{cut(name.text, max(left, 8))}  ", name.role)
    return (spread((short, told), (time,), width),)


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


def replay_line(controls: ReplayControls, skipping: bool, width: int) -> Line:
    """Speed, state and progress of a replay; its handles are left alone while it skips."""
    if skipping:
        return Part("replay ", Role.FAINT), Part("looking for the next alarm")
    if controls.finished:
        state = "at the end of the log"
    else:
        state = "running" if controls.running else "paused"
    left = (
        Part("replay ", Role.FAINT),
        Part(f"×{controls.speed:g} ", Role.STRONG),
        Part(state, Role.PLAIN if controls.running else Role.CAUTION),
    )
    bar = progress(controls.progress, 8 if width < NARROW else 20)
    return spread(left, (*bar, Part(f" {controls.progress:4.0%}", Role.FAINT)), width)
