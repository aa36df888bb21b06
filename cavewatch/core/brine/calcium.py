"""Calcium chloride as it is bought, and what of it is calcium chloride.

Fresh brine low in calcium draws calcium out of the rind, which turns soft and
slimy; about 0.1 % CaCl2 in new brine is usual (University of Guelph, salting page).
All percentages are % w/w of anhydrous CaCl2.
"""

from bisect import bisect_right
from dataclasses import dataclass

from cavewatch.core.errors import within

STRONGEST_SOLUTION = 36.7
"""What stays dissolved down to 0 degC [% w/w]. Source: CRC Handbook, 98th ed."""

CALCIUM_CAUTION = (
    "solid calcium chloride grows hot as it dissolves, and any hurts eyes: goggles and gloves on, "
    "add it to cold water, a little at a time"
)


@dataclass(frozen=True, slots=True)
class CalciumSource:
    """A product that brings calcium chloride."""

    name: str
    """As people call it, such as 'dihydrate' or '33 % solution'."""
    content: float
    """Anhydrous CaCl2 in it [% w/w]."""


ANHYDROUS = CalciumSource("anhydrous", 100.0)

DIHYDRATE = CalciumSource("dihydrate", 100.0 * 110.98 / 147.01)
"""The usual flakes, CaCl2.2H2O; content from the molar masses."""


def solution(percent: float) -> CalciumSource:
    """Calcium chloride dissolved in water, 1 to 36.7 % w/w.

    Raises:
        OutOfRangeError: for a solution that would not stay dissolved in the cold.
    """
    within("calcium chloride solution", percent, 1.0, STRONGEST_SOLUTION, "% w/w")
    return CalciumSource(f"{percent:g} % solution", percent)


_DENSITIES = (
    (0.0, 998.2),
    (10.0, 1083.1),
    (20.0, 1177.8),
    (28.0, 1260.4),
    (30.0, 1281.9),
    (33.0, 1314.7),
    (35.0, 1336.9),
    (40.0, 1393.1),
)


def stock_density(percent: float) -> float:
    """Density of a calcium chloride solution at 20 degC [g/mL], 0 to 36.7 % w/w.

    Interpolated between values of the Laliberte & Cooper 2004 equation (as worked
    out by the open library thermo 0.6.1); within 0.3 % of CoolProp's MCA fluid.
    """
    within("calcium chloride solution", percent, 0.0, STRONGEST_SOLUTION, "% w/w")
    after = bisect_right(_DENSITIES, (percent, float("inf")))
    (low, light), (high, heavy) = _DENSITIES[after - 1 : after + 1]
    return (light + (heavy - light) * (percent - low) / (high - low)) / 1000.0
