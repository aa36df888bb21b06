"""What wheels took out of a tub, shared out over their stay in it.

A wheel takes up salt as the square root of time (the short-time limit of
diffusion), so that a test in the middle of its stay has seen a part of it.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from cavewatch.core.wheel import Event, Happening, Wheel


@dataclass(frozen=True, slots=True)
class Taking:
    """What one wheel took in one stretch of a stay."""

    at: float
    """End of the stretch [s since 1970 UTC]."""
    wheel: Wheel
    share: float
    """Part of the salt that its style aims at [-]; over all its stays in salt they make 1."""
    face_salt: float
    """Salt put on its floating face in the stretch [g]."""
    lifted: bool
    """Whether it came out at the end of the stretch."""


@dataclass(frozen=True, slots=True)
class _Stay:
    """One stay of a wheel in salt, wherever that was."""

    happenings: tuple[Happening, ...]
    """Its going in and all up to its coming out."""
    end: float
    """[s since 1970 UTC]"""

    @property
    def start(self) -> float:
        """[s since 1970 UTC]"""
        return self.happenings[0].at


def takings(
    place: str, wheel: Wheel, gone_at: float | None, cuts: Sequence[float]
) -> Iterator[Taking]:
    """What a wheel took out of a tub in every stay that is over, in stretches between cuts.

    Args:
        place: the tub.
        wheel: with its history.
        gone_at: when it left the dairy [s since 1970 UTC]; None if it has not.
        cuts: times, rising [s since 1970 UTC].
    """
    stays = list(_stays(wheel, gone_at))
    whole = sum(stay.end - stay.start for stay in stays)
    before = 0.0
    for stay in stays:
        if stay.happenings[0].place == place and whole > 0.0:
            inside = cuts[bisect_right(cuts, stay.start) : bisect_left(cuts, stay.end)]
            for start, end in pairwise((stay.start, *inside, stay.end)):
                begun, over = (
                    math.sqrt((before + edge - stay.start) / whole) for edge in (start, end)
                )
                last = end == stay.end
                put_on = (h for h in stay.happenings if start <= h.at and (h.at < end or last))
                yield Taking(end, wheel, over - begun, _salt(put_on), last)
        before += stay.end - stay.start


def taking_at(wheel: Wheel, at: float) -> Taking:
    """All that a wheel now in brine is to take, as if it were lifted then."""
    entered = max(i for i, h in enumerate(wheel.history) if h.event is Event.IN)
    return Taking(at, wheel, 1.0, _salt(wheel.history[entered:]), lifted=True)


def _salt(happenings: Iterable[Happening]) -> float:
    """Salt put on [g]."""
    return sum(h.grams for h in happenings if h.event is Event.SALTED)


def _stays(wheel: Wheel, gone_at: float | None) -> Iterator[_Stay]:
    """The stays that are over."""
    moves = [i for i, h in enumerate(wheel.history) if h.event in (Event.IN, Event.OUT)]
    for here, after in zip(moves, [*moves[1:], None], strict=False):
        end = gone_at if after is None else wheel.history[after].at
        if wheel.history[here].event is Event.IN and end is not None:
            yield _Stay(wheel.history[here:after], end)
