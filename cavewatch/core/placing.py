"""Where facts belong in time that a machine noted while its clock was not set.

Such a fact carries the time since the machine was switched on. Once the clock
is set, that alone places it: what is to be added to it is then known. A placing
says this for everything that one boot of the machine noted until then; what was
noted while the clock was sure is never placed anew.
"""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Placing:
    """One setting of the clock, as it bears on what was noted before it."""

    boot: str
    """Which switching on of the machine."""
    until: float
    """It speaks of what was noted up to this time since then [s]."""
    offset: float
    """To be added to a time since then for one since 1970 UTC [s]."""
    sure: bool
    """True if the clock was right from then on; what was noted before then keeps this place."""


def offset_at(placings: Iterable[Placing], up: float) -> float | None:
    """What places a fact that was noted unsure; None if its clock has not been set since.

    Args:
        placings: of its boot, in the order of writing.
        up: when it was noted [s since the switching on].
    """
    found = None
    for placing in placings:
        if placing.until >= up:
            found = placing.offset
            if placing.sure:
                break
    return found
