"""Manners towards the terminal: what it can show, and whether it is still there."""

import locale
import os
import sys
import termios
import threading
from collections.abc import Callable

from cavewatch.screens.glyphs import needs_ascii

CHECK_EVERY = 2.0
"""How often to look whether the terminal is still there [s]."""
GRACE = 5.0
"""How long a dashboard without a terminal has to leave by itself [s]."""
HUNG_UP = 129
"""Exit status of one that could not: as of a process that the hang-up signal ended."""


def shows_ascii_only() -> bool:
    """True if signs beyond ASCII cannot be shown; Textual paints on the error output.

    The locale is asked as well, because Python writes UTF-8 in the locale C, whatever the
    terminal takes.
    """
    stream, term = sys.__stderr__, os.environ.get("TERM", "")
    encodings = (None if stream is None else stream.encoding, locale.getencoding())
    return any(needs_ascii(encoding, term) for encoding in encodings)


def no_color() -> bool:
    """True if the maker asked for no colour (https://no-color.org)."""
    return "NO_COLOR" in os.environ


def is_light() -> bool:
    """True if the terminal says that its ground is light, as few do.

    COLORFGBG holds the numbers of its colours, the ground last: 7 and 15 are
    light (a convention of several terminals; from memory).
    """
    return os.environ.get("COLORFGBG", "").rpartition(";")[2] in ("7", "15")


def is_gone() -> bool:
    """True if the terminal of the standard input has gone away.

    Without this, reading from a dead terminal gives end-of-file for ever and
    Textual's input thread spins, where the hang-up signal is ignored.
    """
    try:
        termios.tcgetattr(0)
    except termios.error:
        return True
    return False


def leave_when_gone(leave: Callable[[], object]) -> None:
    """Watch the terminal from a thread of its own; once it is gone, leave, by force if need be.

    A terminal that takes nothing more blocks Textual's event loop for good: if it goes away then,
    neither a signal nor a timer of the loop is ever heard. There is nothing left to put in order,
    and what was entered is on the disk.

    Args:
        leave: asks the dashboard to end; called from the thread.
    """

    def watch() -> None:
        patience = threading.Event()
        while not is_gone():
            patience.wait(CHECK_EVERY)
        leave()
        patience.wait(GRACE)
        os._exit(HUNG_UP)

    threading.Thread(target=watch, daemon=True).start()
