"""When a rising quantity reaches a level: a bracketed root in time, to a twentieth of a second."""

from collections.abc import Callable

CLOSE = 0.05
"""[s]"""
FIRST_STEP = 6 * 3600.0
HORIZON = 90 * 86400.0
"""Nobody salts a wheel for longer [s]."""


def crossing(rising: Callable[[float], float], level: float, start: float, end: float) -> float:
    """The time between start and end at which the quantity reaches the level.

    It must be below (or at) the level at the start and not below it at the end.
    False position with Illinois weights, and a bisection wherever that stalls.
    """
    low, high = start, end
    below, above = rising(low) - level, rising(high) - level
    if below >= 0:
        return low
    stalled = 0
    while high - low > CLOSE:
        width = high - low
        guess = high - above * width / (above - below)
        if stalled >= 2 or not low < guess < high:
            guess, stalled = (low + high) / 2, 0
        value = rising(guess) - level
        if value < 0:
            low, below, above = guess, value, above / 2
        else:
            high, above, below = guess, value, below / 2
        stalled = stalled + 1 if high - low > width / 2 else 0
    return high


def first_crossing(rising: Callable[[float], float], level: float, start: float) -> float | None:
    """The first time after the start at which the quantity reaches the level.

    None if that is beyond the horizon.
    """
    step = FIRST_STEP
    low = start
    while step <= HORIZON:
        if rising(start + step) >= level:
            return crossing(rising, level, low, start + step)
        low, step = start + step, 2 * step
    return None
