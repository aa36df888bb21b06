"""Moist air: dew point from temperature and relative humidity.

Source: WMO-No. 8, Annex 4.B (saturation vapour pressure over water), as
reproduced in a weather-station manual; valid here from -40 to 60 degC.
"""

import math

from cavewatch.core.errors import within

_A = 17.62
_B = 243.12
"""Magnus coefficients over water [-], [degC]."""


def dew_point(temperature: float, humidity: float) -> float:
    """Temperature at which this air begins to shed water [degC].

    Over water also below 0 degC, as relative humidity is defined in meteorology.

    Args:
        temperature: of the air [degC], -40 to 60.
        humidity: relative, over water [%], above 0 to 100.

    Raises:
        OutOfRangeError: for anything outside these ranges.
    """
    within("temperature", temperature, -40.0, 60.0, "degC")
    within("humidity", humidity, 0.01, 100.0, "%")
    load = math.log(humidity / 100.0) + _A * temperature / (_B + temperature)
    return _B * load / (_A - load)
