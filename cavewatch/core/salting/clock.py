"""The diffusion clock: how far temperature lets salt get in a stretch of time.

Diffusivity follows Arrhenius with 27 kJ/mol (derived from white cheese at 4
and 20 degC, Floury 2010 Table II; band of published values 20 to 30), counted
from 12 degC, for which the style book gives it.
"""

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import astuple, dataclass
from itertools import accumulate
from typing import Self

from cavewatch.core.errors import within
from cavewatch.core.shape import Shape

ACTIVATION = 27_000.0
"""[J/mol]"""
REFERENCE = 12.0
"""Temperature at which the style book states diffusivities [degC]."""
_GAS = 8.314462618
"""Molar gas constant, CODATA 2018 [J/(mol K)]."""
_ZERO = 273.15
DAY = 86400.0
_CONDUCTION = 0.13e-2 * DAY
"""Thermal diffusivity of cheese, from memory [cm2/day]."""


def warmth_factor(temperature: float) -> float:
    """Diffusivity at this temperature over that at 12 degC [-]; 0 to 40 degC.

    Raises:
        OutOfRangeError: outside, where cheese is not salted.
    """
    within("temperature of the paste", temperature, 0.0, 40.0, "degC")
    inverse = 1.0 / (temperature + _ZERO) - 1.0 / (REFERENCE + _ZERO)
    return math.exp(-ACTIVATION / _GAS * inverse)


@dataclass(frozen=True, slots=True)
class WarmStart:
    """A wheel that goes in warmer or colder than its surroundings, and takes their temperature."""

    at: float
    """When it went in [s since 1970 UTC]."""
    excess: float
    """Its temperature over that of the surroundings then [K]."""
    constant: float
    """Time constant with which the difference goes [day]."""

    @classmethod
    def of(cls, at: float, excess: float, shape: Shape) -> Self:
        """The warm start of a shape.

        The time constant is that of the slowest mode of conduction in the thinnest
        direction, L^2 / (pi^2 a), a = 0.13 mm2/s (thermal diffusivity of cheese, from
        memory). Salt goes in near the surface, which cools first, so that this
        counts rather too much than too little.
        """
        return cls(at, excess, min(astuple(shape)) ** 2 / (math.pi**2 * _CONDUCTION))

    def days(self, at: float, factor: float, temperature: float) -> float:
        """Days at 12 degC that its own warmth is worth from the going in to a time.

        Args:
            at: [s since 1970 UTC].
            factor: warmth factor of the surroundings [-].
            temperature: of the surroundings [degC].
        """
        # The integral of exp(a exp(-t)) - 1 from 0 to t, as its series, which converges at once.
        steep = ACTIVATION / _GAS / (temperature + _ZERO) ** 2 * self.excess
        passed = max(at - self.at, 0.0) / DAY / self.constant
        total, term = 0.0, 1.0
        for n in range(1, 30):
            term *= steep / n
            total -= term / n * math.expm1(-n * passed)
        return factor * self.constant * total


class WarmthRecord:
    """A temperature record, as days at 12 degC that have the same effect.

    The temperature is the record's from each of its times to the next; the
    first holds before, the last for ever after. Temperatures outside 0 to 40
    degC count as that limit: a probe in the open air is no reason to stop.
    """

    def __init__(self, times: Sequence[float], temperatures: Sequence[float]) -> None:
        """Take a record of one or more entries.

        Args:
            times: rising [s since 1970 UTC].
            temperatures: from each time on [degC].
        """
        if not times or len(times) != len(temperatures):
            raise ValueError(
                "a temperature record needs as many temperatures as times, at least one"
            )
        self._times = [float(at) for at in times]
        self._temperatures = [float(t) for t in temperatures]
        self._factors = [warmth_factor(min(max(t, 0.0), 40.0)) for t in self._temperatures]
        steps = (
            (end - start) * factor / DAY
            for start, end, factor in zip(self._times, self._times[1:], self._factors, strict=False)
        )
        self._run = list(accumulate(steps, initial=0.0))

    def temperature(self, at: float) -> float:
        """The record at a time [degC]."""
        return self._temperatures[self._index(at)]

    def factor(self, at: float) -> float:
        """The warmth factor at a time [-]."""
        return self._factors[self._index(at)]

    def days(self, start: float, end: float) -> float:
        """Days at 12 degC worth the stretch from start to end [s since 1970 UTC]."""
        return self._reading(end) - self._reading(start)

    def equivalent(self, start: float, end: float) -> float:
        """The constant temperature with the same effect from start to a later end [degC]."""
        factor = self.days(start, end) * DAY / (end - start)
        return 1.0 / (1.0 / (REFERENCE + _ZERO) - math.log(factor) * _GAS / ACTIVATION) - _ZERO

    def _reading(self, at: float) -> float:
        index = self._index(at)
        return self._run[index] + (at - self._times[index]) * self._factors[index] / DAY

    def _index(self, at: float) -> int:
        return max(bisect_right(self._times, at) - 1, 0)
