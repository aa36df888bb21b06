"""Every fault of a config file, each as one sentence with file, line and key."""

import difflib
import json
import re
from collections.abc import Iterable
from datetime import date, time

from cavewatch.config.lines import KeyPath, Lines
from cavewatch.core.errors import CavewatchError
from cavewatch.units import quoted


class ConfigError(CavewatchError):
    """A config file that cannot be used; its text has one line for each fault."""

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        """One sentence each, in the order of the file."""
        super().__init__("\n".join(self.faults))


class Faults:
    """Gathers the faults of one file, so that all are reported together."""

    def __init__(self, file: str, lines: Lines) -> None:
        self._file, self._lines = file, lines
        self._found: list[tuple[int, str]] = []

    def add(self, path: KeyPath, sentence: str) -> None:
        """Note what is wrong with the key at `path`, in words that follow its name."""
        self.add_sentence(path, f"{key_name(path)}: {sentence}")

    def add_sentence(self, path: KeyPath, sentence: str) -> None:
        """The same in words that name the key themselves."""
        line = self._lines.near(path)
        at = "" if line is None else f", line {line}"
        self._found.append((line or 0, f"{self._file}{at}: {sentence}"))

    def line(self, path: KeyPath) -> int | None:
        """The line on which the key or the table around it stands."""
        return self._lines.near(path)

    def settle(self) -> None:
        """Raise ConfigError if there is any fault."""
        if self._found:
            raise ConfigError(text for _, text in sorted(self._found, key=lambda found: found[0]))


def key_name(path: KeyPath) -> str:
    """The key as it is written in the file; the line tells which of several tables is meant."""
    keys = [key for key in path if isinstance(key, str)]
    return ".".join(key if re.fullmatch("[A-Za-z0-9_-]+", key) else _shortened(key) for key in keys)


def found(value: object) -> str:
    """A value of the file as a person would name it, fit for a terminal."""
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, bool):
        return json.dumps(value)
    huge = isinstance(value, int) and abs(value) >= 10**12
    return "a huge number" if huge else f"{value:.12g}"


def near_miss(word: str, allowed: Iterable[str]) -> str:
    """The words '; did you mean ...?' if `word` looks like one of the allowed, else nothing."""
    by_fold = {option.casefold(): option for option in allowed}
    close = difflib.get_close_matches(word.casefold()[:80], by_fold, n=1)
    return f"; did you mean {quoted(by_fold[close[0]])}?" if close else ""


def _shortened(key: str) -> str:
    return quoted(key).replace("'", '"')
