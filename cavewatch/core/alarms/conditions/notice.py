"""A notice that cannot be sent: alarms then reach only who looks at a screen."""

from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.texts import Words
from cavewatch.core.notices import Notice
from cavewatch.core.text import clean

_LONGEST = 160
"""Of what went wrong, so that the alarm fits on a screen [characters]."""


def unsent(notice: Notice, why: str, words: Words) -> Condition:
    """The condition of a notice that failed again when it was tried again.

    Args:
        notice: which.
        why: what went wrong, in words that may come from outside.
        words: what alarms say.
    """
    text = words.texts["notice failed"]
    what = f"notice '{notice.name}' {text.word}: {clean(why, _LONGEST)}"
    return Condition(notice.failed, text.priority, words.explained("notice failed", what))
