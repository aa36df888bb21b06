"""The pages of the dashboard, by name."""

from enum import StrEnum


class Where(StrEnum):
    """A page; the first eight in the order of their digits."""

    HOME = "home"
    PLACE = "place"
    WHEEL = "wheel"
    TUB = "tub"
    PLANNER = "planner"
    ALARMS = "alarms"
    DUE = "due"
    JOURNAL = "journal"
    SHEET = "make sheet"
    """All that is on record of a make; it has no digit."""
    KEYS = "keys"
    """All keys; likewise."""


DIGITS = {str(digit): where for digit, where in enumerate(list(Where)[:8], 1)}
"""The pages by the key that leads to them."""
EVERYWHERE = frozenset(Where)
