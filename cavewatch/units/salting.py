"""What the planner is told as people type it: targets, diffusivities, shares, waking hours."""

import re

from cavewatch.core.salting.target import Basis, Target
from cavewatch.units.amount import split, tidied
from cavewatch.units.errors import UnitError, quoted

DAY = 86400.0
_PER_DAY = {
    "": 1.0,
    **dict.fromkeys(("cm2/day", "cm2/d", "cm^2/day", "cm^2/d"), 1.0),
    **dict.fromkeys(("m2/s", "m^2/s"), 1e4 * DAY),
    **dict.fromkeys(("cm2/s", "cm^2/s"), DAY),
}
_S_M = re.compile(r"(?:s\s*/\s*m|salt[- ]in[- ]moisture)")


def target(text: str) -> Target:
    """The salt wanted at the lift: '1.8 %' of the cheese, '4.5 % S/M' of its water.

    Raises:
        UnitError: for anything else.
    """
    example = "1.8 % (of the cheese at the lift) or 4.5 % S/M (salt in moisture)"
    number, unit = split(text, example)
    words = re.fullmatch(r"(?:%|percent)\s*(.*)", unit)
    if words is None or not (words[1] == "" or _S_M.fullmatch(words[1])):
        raise UnitError(f"{quoted(text)} is no target; write {example}")
    return Target(float(number), Basis.MOISTURE if words[1] else Basis.CHEESE)


def diffusivity(text: str) -> float:
    """A diffusivity [cm2/day] from '0.2', '0.2 cm2/day' or '2.3e-10 m2/s'.

    Raises:
        UnitError: for anything else.
    """
    found = re.fullmatch(r"([0-9]+(?:[.,][0-9]+)?(?:e[-+]?[0-9]{1,3})?)\s*([a-z].*)?", tidied(text))
    per_day = _PER_DAY.get(re.sub(r"\s*/\s*", "/", found[2] or "")) if found else None
    if found is None or per_day is None:
        raise UnitError(
            f"{quoted(text)} is no diffusivity; write it like 0.2 cm2/day or 2.3e-10 m2/s"
        )
    return float(found[1].replace(",", ".")) * per_day


def share(text: str, example: str = "65 %") -> float:
    """A share [-] from '65 %'.

    Raises:
        UnitError: for anything else, and outside 0 to 100 %.
    """
    number, unit = split(text, example)
    if unit not in ("%", "percent") or not 0 <= number <= 100:
        raise UnitError(f"{quoted(text)} is no share from 0 to 100 %; write it like {example}")
    return float(number) / 100.0


def waking_hours(text: str) -> tuple[float, float]:
    """From when to when somebody is up [s since midnight], from '06:00-22:00'.

    Raises:
        UnitError: for anything else.
    """
    clock = r"([01]?[0-9]|2[0-4])(?::([0-5][0-9]))?"
    found = re.fullmatch(rf"{clock}\s*(?:-|–|to)\s*{clock}", tidied(text))
    if found is None:
        raise UnitError(f"{quoted(text)} are no waking hours; write them like 06:00-22:00")
    hours, minutes, later, past = (int(part or 0) for part in found.groups())
    wakes, sleeps = 60 * hours + minutes, 60 * later + past
    if max(wakes, sleeps) > 24 * 60:
        raise UnitError(f"{quoted(text)} goes beyond 24:00; write it like 06:00-22:00")
    return 60.0 * wakes, 60.0 * sleeps
