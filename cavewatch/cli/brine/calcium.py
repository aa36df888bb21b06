"""Calcium chloride for fresh and used brine: how it is asked for and what is said of it."""

from dataclasses import dataclass

from cavewatch import units
from cavewatch.core.brine.calcium import STRONGEST_SOLUTION, CalciumSource, stock_density
from cavewatch.core.errors import CavewatchError
from cavewatch.units import Display


@dataclass(frozen=True, slots=True)
class CalciumWanted:
    """Calcium chloride that shall be in the brine, and what it is added as."""

    percent: float
    """Anhydrous [% w/w]."""
    source: CalciumSource


def calcium_wanted(percent: str | None, source: str | None) -> CalciumWanted | None:
    """From the options --calcium and --calcium-as; None if neither was given.

    Raises:
        CavewatchError: for one without the other, and for what neither can be.
    """
    if percent is None and source is None:
        return None
    if percent is None or source is None:
        raise CavewatchError(
            "calcium takes two options: --calcium '0.1 %' and --calcium-as with what you have, "
            "dihydrate, anhydrous or '33 % solution'"
        )
    wanted = units.part(percent, 5.0)
    if not wanted:
        raise CavewatchError("0 % calcium chloride takes nothing; leave --calcium out")
    return CalciumWanted(wanted, units.calcium_source(source))


def calcium_words(grams: float, wanted: CalciumWanted, display: Display) -> str:
    """So much of a product: by volume too where it is a solution."""
    words = display.to_weigh(grams)
    if wanted.source.content <= STRONGEST_SOLUTION:
        litres = grams / stock_density(wanted.source.content) / 1000.0
        words = f"{display.to_measure(litres)} ({words})"
    return f"{words} of calcium chloride, {wanted.source.name}, for {wanted.percent:g} % CaCl2"
