"""Salt by the teaspoon: what one holds depends on the grain."""

from dataclasses import dataclass

TEASPOON = 4.92892159375
"""Of the United States, level [mL]; exact by definition."""


@dataclass(frozen=True, slots=True)
class Grain:
    """A kind of salt."""

    name: str
    bulk: float
    """Bulk density [g/mL]."""
    source: str

    def teaspoons(self, grams: float) -> float:
        """Level teaspoons in so much salt [g]."""
        return grams / (self.bulk * TEASPOON)


GRAINS = {
    grain.name: grain
    for grain in (
        Grain("fine", 1.22, "6 g to the teaspoon: common practice, no source"),
        Grain("coarse", 1.02, "5 g to the teaspoon: common practice, no source"),
        Grain("flake", 0.61, "kosher-style flake, 3 g to the teaspoon: common practice, no source"),
    )
}
"""Brands differ by a quarter and more: a scale is better than a spoon."""
