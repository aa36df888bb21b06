"""A value that shakes, as with a bad contact: more than air or brine can.

For white noise of variance v upon anything smooth, the product of two
successive steps has the mean -v; what is smooth adds to it positively and
little. A moving mean of the products, signs changed, is therefore a measure of
the noise alone, which neither a slow drift nor an open door disturbs.
"""

from cavewatch.core.reading import Quantity

LIMIT = {Quantity.TEMPERATURE: 0.7, Quantity.HUMIDITY: 3.0}
"""Standard deviation from which on a signal counts as noisy [K or %]. Judgement: above the
flicker of a sensor that knows whole degrees Fahrenheit only, and many times the repeatability
of data sheets (0.1 K and 0.1 % to 0.2 %, from memory)."""
MEMORY = 60
"""Readings over which the mean runs; judgement."""
LAPSE = 120.0
"""Readings further apart say nothing about noise [s]; judgement: a compressor's cycle, looked at
this rarely, would look like it."""
_LARGEST = 16.0
"""One product counts as at most so many times the limit, so that a few spikes do not make a
signal noisy but many do."""


def shaken(known: float, before: float, step: float, limit: float) -> float:
    """The variance of the noise after one more step; below zero for what moves smoothly.

    Args:
        known: after the step before.
        before: that step.
        step: the new one.
        limit: the variance that counts as noisy.
    """
    product, most = -step * before, _LARGEST * limit
    if product > most:
        product = most
    elif product < -most:
        product = -most
    return known + (product - known) / MEMORY
