"""The diffusion clock: how far temperature lets salt get in a stretch of time.

Diffusivity follows Arrhenius with 27 kJ/mol (derived from white cheese at 4
and 20 degC, Floury 2010 Table II; band of published values 20 to 30), counted
from 12 degC, for which the style book gives it.
"""

import math
from collections.abc import Sequence

import numpy as np

from cavewatch.core.errors import within

ACTIVATION = 27_000.0
"""[J/mol]"""
REFERENCE = 12.0
"""Temperature at which the style book states diffusivities [degC]."""
_GAS = 8.314462618
"""Molar gas constant, CODATA 2018 [J/(mol K)]."""
_ZERO = 273.15
DAY = 86400.0


def warmth_factor(temperature: float) -> float:
    """Diffusivity at this temperature over that at 12 degC [-]; 0 to 40 degC.

    Raises:
        OutOfRangeError: outside, where cheese is not salted.
    """
    within("temperature of the paste", temperature, 0.0, 40.0, "degC")
    inverse = 1.0 / (temperature + _ZERO) - 1.0 / (REFERENCE + _ZERO)
    return math.exp(-ACTIVATION / _GAS * inverse)


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
        self._times = np.asarray(times, dtype=float)
        factors = [warmth_factor(min(max(t, 0.0), 40.0)) for t in temperatures]
        self._factors = np.asarray(factors)
        steps = np.diff(self._times) * self._factors[:-1] / DAY
        self._run = np.concatenate(([0.0], np.cumsum(steps)))
        self.latest = float(temperatures[-1])
        """The temperature that the future is reckoned with [degC]."""

    def days(self, start: float, end: float) -> float:
        """Days at 12 degC worth the stretch from start to end [s since 1970 UTC]."""
        return self._reading(end) - self._reading(start)

    def _reading(self, at: float) -> float:
        index = max(int(np.searchsorted(self._times, at, side="right")) - 1, 0)
        return float(self._run[index] + (at - self._times[index]) * self._factors[index] / DAY)
