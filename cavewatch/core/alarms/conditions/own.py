"""What is abnormal with the record itself: no room on the disk, a store that was damaged."""

from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.texts import Words


def filling(free: float, words: Words) -> Condition:
    """The condition of a disk that is nearly full.

    Args:
        free: what is left [byte].
        words: what alarms say.
    """
    return _condition("store filling", f"{free / 1e6:,.0f} MB are left", words)


def unwritable(full: bool, holds: int, words: Words) -> Condition:
    """The condition of a store that takes nothing more.

    Args:
        full: whether for want of room.
        holds: how many readings can wait in memory.
        words: what alarms say.
    """
    kind = "store full" if full else "store unwritable"
    return _condition(kind, f"readings wait in memory, the newest {holds:,} of them", words)


def gap(lost: int, words: Words) -> Condition:
    """The condition of a record that lacks readings for which there was no room."""
    return _condition("store gap", f"{lost:,} readings that waited found no room", words)


def damaged(aside: str, saved: str, words: Words) -> Condition:
    """The condition of a store that was damaged, and is replaced by a new one.

    Args:
        aside: name of the damaged file.
        saved: what of it could be read, in words.
        words: what alarms say.
    """
    return _condition("store damaged", f"it is set aside as {aside}; {saved}", words)


def _condition(kind: str, more: str, words: Words) -> Condition:
    text = words.texts[kind]
    return Condition(kind, text.priority, words.explained(kind, f"the store {text.word}: {more}"))
