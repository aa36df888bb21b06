"""Sends one message by the notices library; run as a program, by `sending`.

A process of its own, as the library takes seconds and tens of megabytes to load and may
hang in the network. What to send comes on standard input, as JSON: other users can read
a command line, and the address may hold secrets. It imports nothing of Cavewatch.
"""

import json
import logging
import sys


class _Last(logging.Handler):
    """Keeps what the library complained of last."""

    complaint = "no reason was given"

    def emit(self, record: logging.LogRecord) -> None:
        """Keep it."""
        self.complaint = record.getMessage()


def deliver(url: str, title: str, text: str) -> str:
    """Send; empty if that went well, else what went wrong."""
    try:
        import apprise  # noqa: PLC0415
    except ImportError:
        return 'it is missing; install it with: pip install "cavewatch[notices]"'
    last = _Last(logging.WARNING)
    logging.getLogger("apprise").addHandler(last)
    target = apprise.Apprise()
    if not target.add(url):
        return "it does not know this url; look it up in its documentation"
    if target.notify(text, title=title):
        return ""
    return last.complaint.replace(url, "the url")


if __name__ == "__main__":
    sys.exit(deliver(**json.load(sys.stdin)) or 0)
