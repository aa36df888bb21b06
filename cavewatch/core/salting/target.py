"""The salt that is wanted at the lift, by either of the two ways in which people count it."""

from dataclasses import dataclass
from enum import StrEnum

from cavewatch.core.errors import CavewatchError
from cavewatch.core.salting.balance import Body
from cavewatch.core.style import Style


class Basis(StrEnum):
    """What the salt of a target is counted by."""

    CHEESE = "cheese"
    """Per cent of the cheese's weight at the lift."""
    MOISTURE = "moisture"
    """Grams in 100 g of the water that is left at the lift."""


@dataclass(frozen=True, slots=True)
class Target:
    """The salt that is wanted at the lift."""

    value: float
    """[%]"""
    basis: Basis = Basis.CHEESE

    def __post_init__(self) -> None:
        most = 12.0 if self.basis is Basis.CHEESE else 20.0
        if not 0.0 < self.value <= most:
            raise CavewatchError(
                f"a target of {self.value:g} % is not above 0 and up to {most:g} %; "
                "write it like 1.8 % or 4.5 % S/M"
            )

    def level(self, body: Body) -> float:
        """The mean of the field that a wheel must reach [g per 100 g initial water]."""
        if self.basis is Basis.MOISTURE:
            return body.mean_at_moisture(self.value)
        return body.mean_at_percent(self.value)


def aim_of(style: Style) -> Target:
    """What a style aims at: a finished cheese has lost weight in ageing, and none of its salt."""
    return Target(style.salt.value * (1.0 - style.loss.value / 100.0))
