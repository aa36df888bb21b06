"""When a floating wheel is turned, and what each turn asks of the face that comes up.

The last turn comes when both flat faces will have taken up the same by the
lift; a long brining has a turn about every day, as many as make an odd number,
so that each face comes up as often as the other.

Where uptake goes with the root of time, that is half way if the face on top is
bare, since each face takes up while it is under. Salt on the face that stands out
is stronger than the brine, and what it gave first has had longer to go in: the
turn is then at three quarters of the time (2 sqrt(1 - s) = 1), and with more turns
the stretch after the last one is a third to a quarter of the others.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from cavewatch.core.salting.paste import Face
from cavewatch.core.salting.salted import PLENTY, Track
from cavewatch.core.wheel import Event, Happening

LONGEST = 24 * 3600.0
"""Between turns on the average [s]: a bulletin of 1918 has edam turned in its brine once a day."""
AFTER_SALTED = 1.0 / 3.0
"""The stretch after the last turn over the others, where faces that come up are salted [-]."""
EVEN = 0.01
"""Faces that differ by less than this part of what both took up are alike; judgement [-]."""
CLOSE = 20.0
"""How near the turn must be [s]."""


@dataclass(frozen=True, slots=True)
class Turning:
    """The turns that are left, and the lift they lead to."""

    turns: tuple[float, ...]
    """[s since 1970 UTC]"""
    lift: float
    """[s since 1970 UTC]"""
    track: Track
    """With the turns made, and the faces that come up salted or not."""


def how_many(length: float) -> int:
    """Turns in a brining of this length [s], odd, a day apart or less on the average."""
    turns = 1
    while length / (turns + 1) > LONGEST:
        turns += 2
    return turns


def turned(track: Track, turns: tuple[float, ...], salted: bool = True) -> Track:
    """The track turned at these times.

    Args:
        track: up to the first of them.
        turns: rising [s since 1970 UTC].
        salted: with plenty of salt on each face that comes up; a ball has none.
    """
    for at in turns:
        happenings = [Happening(at, Event.TURNED, "")]
        if salted and Face.TOP in track.uptake.paste.faces:
            happenings.append(Happening(at, Event.SALTED, "", PLENTY))
        track = track.then(*happenings)
    return track


def turning(
    track: Track,
    lifted: Callable[[Track], float],
    start: float,
    since: float,
    done: int,
    salted: bool = True,
) -> Turning:
    """The turns that are left in a brining.

    Args:
        track: up to now, with what is on the face that stands out.
        lifted: when a track reaches its target [s since 1970 UTC].
        start: when the wheel went in.
        since: its last happening, before which no turn can be.
        done: turns already made.
        salted: whether each face that comes up is salted.
    """

    def plan(count: int, last: float) -> Turning:
        left = count - done
        first = max(since, start + (last - start) * done / count)
        gap = (last - first) / left
        turns = tuple(first + gap * (n + 1) for n in range(left))
        ahead = turned(track, turns, salted)
        return Turning(turns, lifted(ahead), ahead)

    faces = Face.TOP in track.uptake.paste.faces
    rest = AFTER_SALTED if salted and faces else 1.0
    found = Turning((), lifted(track), track)
    # Without a turn the brining is longer than it will be, and may seem to need more of them.
    count = how_many(found.lift - start)
    while count > done:
        last = max(since, start + (found.lift - start) * count / (count + rest))
        found = plan(count, last)
        fewer = how_many(found.lift - start)
        if fewer >= count:
            break
        count = fewer
    if count <= done:
        return Turning((), lifted(track), track)
    if not faces:
        return found
    return _even(partial(plan, count), found, since)


def _even(plan: Callable[[float], Turning], usual: Turning, since: float) -> Turning:
    """Move the last turn until both faces will have taken up the same: the secant method.

    Where none does that (a face has lain bare for too long) it stays at its usual time.
    """
    last = usual.turns[-1]
    before, off_before = last, _uneven(usual)
    # Near enough for the slope, far enough that rounding of the lift does not count.
    step = (usual.lift - last) / 16
    last = max(since, last - step if off_before > 0 else last + step)
    found, off = usual, off_before
    for _ in range(12):
        if abs(last - before) < CLOSE:
            break
        found = plan(last)
        off = _uneven(found)
        if off == off_before:
            break
        ahead = last - off * (last - before) / (off - off_before)
        before, off_before = last, off
        last = min(max(ahead, since), found.lift)
    return found if abs(off) <= EVEN else usual


def _uneven(found: Turning) -> float:
    """By how much more the face on top at the lift has taken up, over both together [-]."""
    top, bottom = found.track.flat(found.lift)
    return (top - bottom) / (top + bottom) if top + bottom > 0 else 0.0
