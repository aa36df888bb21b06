"""How a message leaves this machine: by the maker's command, or by the notices library."""

import json
import re
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from cavewatch.clock import Clock
from cavewatch.core.notices import PLACEHOLDERS, Notice
from cavewatch.recorder.errand import Errand

Send = Callable[[Notice, Mapping[str, str]], Errand]
"""Starts to send the text of each placeholder."""

_PLACEHOLDER = re.compile("{(" + "|".join(PLACEHOLDERS) + ")}")
_LIBRARY = str(Path(__file__).with_name("library_notice.py"))


def sender(folder: Path, ticks: Clock) -> Send:
    """How messages are sent.

    Args:
        folder: where commands run.
        ticks: a clock that never steps [s].
    """

    def send(notice: Notice, said: Mapping[str, str]) -> Errand:
        if not notice.command:
            order = {"url": notice.url, "title": said["title"], "text": said["text"]}
            # Without the folder of the program on its path, where a file may have a module's name.
            library = (sys.executable, "-P", _LIBRARY)
            text = json.dumps(order)
            return Errand(library, ticks, folder=folder, text=text, name="the notices library")
        program, *words = notice.command
        filled = [_PLACEHOLDER.sub(lambda found: said[found[1]], word) for word in words]
        variables = {f"CAVEWATCH_{name.upper()}": value for name, value in said.items()}
        return Errand(
            (program, *filled), ticks, folder=folder, variables=variables, text=said["text"]
        )

    return send
