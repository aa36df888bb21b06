"""When a rising quantity reaches a level: a bracketed root in time, to a second."""

from collections.abc import Callable

CLOSE = 1.0
"""How near a time is found where people go by it [s]."""
EXACT = 1e-6
"""How near it is found where a balance rests on it [s]."""
FIRST_STEP = 6 * 3600.0
HORIZON = 90 * 86400.0
"""Nobody salts a wheel for longer [s]."""


def crossing(
    rising: Callable[[float], float], level: float, start: float, end: float, close: float = CLOSE
) -> float:
    """The time between start and end at which the quantity reaches the level.

    It must be below (or at) the level at the start and not below it at the end.
    False position with Illinois weights: an end that stays twice counts half. A guess
    keeps off both ends, so that one that is all but there is passed by the next.
    """
    below = rising(start) - level
    if below >= 0:
        return start
    return _between(rising, level, (start, below), (end, rising(end) - level), close)


def _between(
    rising: Callable[[float], float],
    level: float,
    start: tuple[float, float],
    end: tuple[float, float],
    close: float,
) -> float:
    """The same between two times at which it is known by how much the level is missed."""
    (low, below), (high, above) = start, end
    moved = 0
    while high - low > close:
        guess = high - above * (high - low) / (above - below)
        guess = min(max(guess, low + close / 2), high - close / 2)
        if not low < guess < high:
            break
        value = rising(guess) - level
        if value < 0:
            low, below = guess, value
            above = above / 2 if moved < 0 else above
            moved = -1
        else:
            high, above = guess, value
            below = below / 2 if moved > 0 else below
            moved = 1
    return high


def first_crossing(
    rising: Callable[[float], float], level: float, start: float, close: float = CLOSE
) -> float | None:
    """The first time after the start at which the quantity reaches the level.

    None if that is beyond the horizon.
    """
    below = rising(start) - level
    if below >= 0:
        return start
    low, end, limit = start, start + FIRST_STEP, start + HORIZON
    while (above := rising(end) - level) < 0:
        if end >= limit:
            return None
        low, below = end, above
        end = min(start + 2 * (end - start), limit)
    return _between(rising, level, (low, below), (end, above), close)
