"""A value that leaps from one reading to the next, further than air or brine can go.

A leap is held in doubt until the sensor keeps to its new value for a while: a
spike passes, but a cave that really changed is believed soon.
"""

from typing import NamedTuple

from cavewatch.core.reading import Quantity

LEAP = {Quantity.TEMPERATURE: 5.0, Quantity.HUMIDITY: 20.0}
"""More than this between readings is a leap [K or %]; judgement: an open door rarely does more."""
LAPSE = 300.0
"""After a pause longer than this any value is believed [s]; judgement."""
CONFIRMED_FOR = 60.0
CONFIRMATIONS = 3
"""A leap is believed once as many readings over as long [s] agree with it; judgement."""


class Doubt(NamedTuple):
    """What was believed before a leap, and what came since."""

    believed: float
    """The value before."""
    at: float
    """When that was read [s since 1970 UTC]."""
    since: float | None = None
    """Since when the values in doubt agree [s since 1970 UTC]; None before the first."""
    agreeing: int = 0
    """How many of them agree."""


def doubted(doubt: Doubt, last: float, value: float, at: float, leap: float) -> Doubt | None:
    """What is in doubt after one more value; None if that value is believed.

    Args:
        doubt: after the value before.
        last: the value before, in doubt itself unless the leap begins here.
        value: the new one, read at `at` [s since 1970 UTC].
        leap: see LEAP.
    """
    if abs(value - doubt.believed) <= leap:
        return None
    if doubt.since is None:
        begun = doubt._replace(since=at, agreeing=1)
        return None if at - doubt.at > LAPSE else begun
    if abs(value - last) > leap:
        return doubt._replace(since=at, agreeing=1)
    agreeing = doubt.agreeing + 1
    if agreeing >= CONFIRMATIONS and at - doubt.since >= CONFIRMED_FOR:
        return None
    return doubt._replace(agreeing=agreeing)
