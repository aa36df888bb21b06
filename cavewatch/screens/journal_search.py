"""Finding entries of the journal by what one types."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import date, timedelta
from typing import Self
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.journal import Entry, Voided, kind_of, wheels_of
from cavewatch.screens import wording
from cavewatch.units import Display

_WHEELS = re.compile(r"\bwheels?\s+(\d{1,9})(?:\s*[-–]\s*(\d{1,9}))?")
_DAYS = {"today": 0, "yesterday": -1}
_SPLIT = re.compile(r"[^\w.,:%°/#-]+")


@dataclass(frozen=True, slots=True)
class Query:
    """What is looked for: an entry is found if all of it is true of the entry."""

    words: tuple[str, ...] = ()
    """Beginnings of words; a bare number is a whole word, or a wheel that the entry names."""
    wheels: tuple[tuple[int, int], ...] = ()
    """First and last number of wheels, one of which the entry must name, for each of them."""
    days: tuple[date, ...] = ()

    @classmethod
    def typed(cls, text: str, now: float, zone: ZoneInfo) -> Self:
        """Read 'wheel 14 turned', 'lower cave', 'MK 2026-03-03', 'yesterday', '#12'."""
        text = text.casefold()
        wheels = tuple((int(first), int(last or first)) for first, last in _WHEELS.findall(text))
        words = _parted(_WHEELS.sub(" ", text))
        today = clock.local(now, zone).date()
        return cls(
            tuple(word for word in words if word not in _DAYS),
            wheels,
            tuple(today + timedelta(days=_DAYS[word]) for word in words if word in _DAYS),
        )

    def finds(self, entry: Entry, words: str, zone: ZoneInfo) -> bool:
        """Whether it is true of an entry, of which these are the `searched` words."""
        named = wheels_of(entry.act)
        if any(not any(a <= number <= b for number in named) for a, b in self.wheels):
            return False
        if self.days and {clock.local(entry.at, zone).date()} != set(self.days):
            return False
        return all(
            f" {word} " in words or int(word) in named if word.isdecimal() else f" {word}" in words
            for word in self.words
        )


def searched(entry: Entry, mended: Entry | None, zone: ZoneInfo, display: Display) -> str:
    """All words by which an entry is found, in small letters between blanks.

    Args:
        entry: the entry.
        mended: what it corrects, or what corrects it; None if neither is known.
        zone: in which days and times are told.
        display: the maker's units.
    """
    there = clock.local(entry.at, zone)
    said = [
        f"#{entry.id}",
        entry.by,
        kind_of(entry.act),
        wording.act_words(entry.act, display),
        *(v for f in fields(entry.act) if isinstance(v := getattr(entry.act, f.name), str)),
        f"{there:%Y-%m-%d %Y %H:%M %A %B} {there.day}",
    ]
    if mended is not None:
        said += [wording.act_words(mended.act, display), mended.by]
        said += [mended.act.why, "void"] if isinstance(mended.act, Voided) else []
    return f" {' '.join(_parted(' '.join(said).casefold()))} "


def _parted(text: str) -> Iterable[str]:
    """The words without the marks around them."""
    return tuple(word for part in _SPLIT.split(text) if (word := part.strip(".,:-/")))
