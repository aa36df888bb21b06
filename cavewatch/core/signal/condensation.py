"""A humidity sensor on which water has condensed: it reads near 100 % until it is dry."""

WET = 99.5
"""From here on a sensor counts as wet [%], ..."""
DRY = 98.0
"""... and below this as dry again [%]."""
LASTING = 3600.0
"""Fog passes; what lasts longer than this is water on the sensor [s].

The three are judgement. That a wet sensor reads near 100 % until it has dried, which takes hours
in still air, is from a sensor maker's application note (read as an excerpt).
"""


def wet_since(since: float | None, value: float, at: float) -> float | None:
    """Since when the sensor reads as a wet one does [s since 1970 UTC]; None if it does not.

    Args:
        since: the answer for the reading before.
        value: of this reading [%].
        at: of this reading [s since 1970 UTC].
    """
    if value >= WET:
        return at if since is None else since
    return None if value < DRY else since


def is_wet(since: float, at: float) -> bool:
    """True once it has lasted too long for fog."""
    return at - since > LASTING
