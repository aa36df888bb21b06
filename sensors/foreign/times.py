"""Which columns hold the time, and how it is written."""

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cavewatch.core.sensor import MILLISECONDS, LogSettings
from sensors.faults import SensorError
from sensors.stamps import Stamps

_DATE = (
    r"(?:\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}\.?"
    r"|\d{1,2}[-/. ]+[A-Za-z]{3,9}\.?[-/, ]+\d{2,4}"
    r"|[A-Za-z]{3,9}\.? +\d{1,2},? +\d{4})"
)
_CLOCK = r"(?:\d{1,2}[:.]\d{2}(?:[:.]\d{2}(?:[.,]\d+)?)?(?: ?[AaPp]\.?[Mm]\.?)?)"
_OFFSET = r"(?: ?(?:Z|[+-]\d{2}:?\d{2}))?"
DATE = re.compile(_DATE, re.ASCII)
_COLONS = re.compile(r"\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?: ?[AaPp]\.?[Mm]\.?)?", re.ASCII)
"""A clock time in a column of its own; with a point, 12.30 would be a temperature too."""
MOMENT = re.compile(f"{_DATE}(?:T|,? +){_CLOCK}{_OFFSET}", re.ASCII)
_SECONDS = re.compile(r"\d{9,10}(?:\.\d*)?", re.ASCII)
_MILLISECONDS = re.compile(r"\d{12,13}", re.ASCII)

_DATES = (
    *("%d/%m/%Y", "%m/%d/%Y", "%d.%m.%Y", "%d-%m-%Y", "%m-%d-%Y", "%Y/%m/%d", "%Y.%m.%d"),
    *("%Y-%m-%d", "%d/%m/%y", "%m/%d/%y", "%d.%m.%y", "%d-%m-%y", "%m-%d-%y", "%y-%m-%d"),
    *("%d %b %Y", "%d-%b-%Y", "%d-%b-%y", "%d %B %Y", "%b %d %Y", "%b %d, %Y", "%B %d, %Y"),
)
_CLOCKS = (
    *("%H:%M:%S", "%H:%M", "%I:%M:%S %p", "%I:%M %p", "%I:%M:%S%p", "%I:%M%p"),
    *("%H:%M:%S.%f", "%H.%M.%S", "%H.%M"),
)
_JOINTS = (" ", ", ", "T")
_FORMATS = (
    "",
    *(date + joint + clock for date in _DATES for joint in _JOINTS for clock in _CLOCKS),
    *_DATES,
)
_ZONE = re.compile(r"\b(?:UTC|GMT)(?:\s*([+-])\s*0?(\d{1,2})(?::?00)?\b(?!:))?", re.IGNORECASE)
_WORD = re.compile("[A-Za-z]+")
_ENOUGH = 0.9
"""So many of the sample's times must be read; others may be damaged. Judgement."""


@dataclass(frozen=True, slots=True)
class Times:
    """How a log tells the time."""

    columns: tuple[int, ...]
    format: str
    newest_first: bool
    otherwise: str
    """Another format that fits as well; empty if there is none."""


def is_moment(text: str) -> bool:
    """Whether a cell alone may tell date and time."""
    return any(form.fullmatch(text) for form in (MOMENT, _SECONDS, _MILLISECONDS))


def columns_of(rows: Sequence[Sequence[str]]) -> tuple[int, ...]:
    """The columns that make up the time: one with both, else a date and a clock time, else a date.

    Raises:
        SensorError: if there is none.
    """
    width = min(map(len, rows), default=0)

    def mostly(index: int, fits: "re.Pattern[str] | None") -> bool:
        texts = [row[index] for row in rows if row[index]]
        good = sum(bool(fits.fullmatch(t)) if fits else is_moment(t) for t in texts)
        return bool(texts) and good >= _ENOUGH * len(texts)

    for index in range(width):
        if mostly(index, None):
            return (index,)
    dates = [index for index in range(width) if mostly(index, DATE)]
    if not dates:
        raise SensorError("no column holds times; name those that do: --time-column 'TITLE'")
    clocks = [index for index in range(width) if mostly(index, _COLONS)]
    return (dates[0], *clocks[:1])


def read(
    texts: Sequence[str], columns: tuple[int, ...], zone: str, month_first: bool, form: str | None
) -> Times:
    """How the times of a sample are written.

    Args:
        texts: times in the file's order.
        columns: that they are in.
        zone: in which they are.
        month_first: which of day and month comes first where nothing tells.
        form: the format, if it is stated.

    Raises:
        SensorError: if no format that we know fits.
    """
    fitting = [found for f in _candidates(texts, form) if (found := _instants(texts, f, zone))]
    if not fitting:
        raise SensorError(
            f"times such as '{texts[0]}' are in no form that is known; say which: "
            "--time-format '%d/%m/%Y %H:%M'"
        )
    # The wrong order of day and month throws times apart.
    best = min(
        fitting,
        key=lambda found: (found.span, month_first != _month_first(found.format)),
    )
    other = next(
        (
            found.format
            for found in fitting
            if found.span == best.span and found.instants[0] != best.instants[0]
        ),
        "",
    )
    steps = [b - a for a, b in itertools.pairwise(best.instants)]
    back, forth = sum(step < 0 for step in steps), sum(step > 0 for step in steps)
    return Times(columns, best.format, back > forth, other)


def zone_in(title: str) -> str | None:
    """The zone that a title such as 'Time, GMT+02:00' names, as an IANA name."""
    found = _ZONE.search(title)
    if found is None:
        return None
    sign, hours = found.groups()
    if sign is None or int(hours) == 0:
        return "UTC"
    # The names of fixed offsets count hours behind.
    return f"Etc/GMT{'-' if sign == '+' else '+'}{int(hours)}" if int(hours) <= 12 else None


@dataclass(frozen=True, slots=True)
class _Reading:
    """The sample read by one format."""

    format: str
    instants: tuple[float, ...]

    @property
    def span(self) -> float:
        return max(self.instants) - min(self.instants)


def _candidates(texts: Sequence[str], form: str | None) -> Iterator[str]:
    if form is not None:
        yield form
    elif sum(bool(_MILLISECONDS.fullmatch(text)) for text in texts) >= _ENOUGH * len(texts):
        yield MILLISECONDS
    else:
        # Reading by a format is slow, and most differ from the text at a glance.
        shapes = {_shape(text) for text in (texts[0], texts[len(texts) // 2], texts[-1])}
        yield from (form for form in _FORMATS if not form or _shape_of(form) in shapes)


def _shape(text: str) -> str:
    """The text with each number as 0 and each word as a, but for the T that parts date and time."""
    return _WORD.sub(lambda found: "T" if found[0] == "T" else "a", re.sub(r"\d+", "0", text))


def _shape_of(form: str) -> str:
    return _shape(re.sub("%[bBp]", "Word", re.sub("%[^bBp]", "0", form)))


def _instants(texts: Sequence[str], form: str, zone: str) -> _Reading | None:
    """None if too few of the times are in this format."""
    stamps = Stamps(LogSettings(fields={}, time_format=form, zone=zone))
    found = []
    allowed = len(texts) * (1 - _ENOUGH)
    for text in texts:
        try:
            found.append(stamps.at(text))
        except SensorError:
            allowed -= 1
            if allowed < 0:
                return None
    return _Reading(form, tuple(found)) if found else None


def _month_first(form: str) -> bool:
    return form.startswith(("%m", "%b", "%B"))
