"""Manners towards the terminal: what it can show, and whether it is still there."""

import os
import sys
import termios

from cavewatch.screens.glyphs import needs_ascii

CHECK_EVERY = 2.0
"""How often to look whether the terminal is still there [s]."""


def shows_ascii_only() -> bool:
    """True if signs beyond ASCII cannot be shown; Textual paints on the error output."""
    stream = sys.__stderr__
    return needs_ascii(None if stream is None else stream.encoding, os.environ.get("TERM", ""))


def no_color() -> bool:
    """True if the maker asked for no colour (https://no-color.org)."""
    return "NO_COLOR" in os.environ


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
