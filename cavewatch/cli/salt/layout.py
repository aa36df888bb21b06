"""How `cavewatch salt` lays out its text: names in one column, words wrapped beside them."""

import re
import shutil
import textwrap
from collections.abc import Iterable

import click

from cavewatch import clock
from cavewatch.core.countdown import Span
from cavewatch.core.salting.crossing import HORIZON

FIVE_MINUTES = 300.0
Rows = Iterable[tuple[str, str]]
"""A name and what it is."""


def spoons(teaspoons: float) -> str:
    """'2 1/4 tsp', '3 tbsp', '1 1/2 cups': to a quarter of what one measures with."""
    unit, amount = "tsp", teaspoons
    if teaspoons >= 6:
        unit, amount = ("tbsp", teaspoons / 3) if teaspoons < 48 else ("cups", teaspoons / 48)
    whole, quarters = divmod(max(round(4 * amount), 1), 4)
    part = ("", "1/4", "1/2", "3/4")[quarters]
    return " ".join(word for word in (str(whole) if whole else "", part, unit) if word)


def percent(span: Span, scale: float = 1.0) -> str:
    """A percentage with its range, alone where that rounds away; `scale` is 100 for shares."""
    decimals = 0 if scale > 1 else 1
    low, expected, high = (
        f"{scale * each:.{decimals}f}" for each in (span.low, span.expected, span.high)
    )
    return f"{expected} %" + ("" if low == high else f" ({low} to {high} %)")


def time_range(at: Span) -> str:
    """The ends of a range of times."""
    if at.high >= HORIZON:
        return f"{duration(at.low)} at the earliest, slow wheels never"
    return f"{duration(at.low)} to {duration(at.high)}"


def duration(seconds: float) -> str:
    """To five minutes: the model knows no better, and nobody acts to the second."""
    if seconds >= HORIZON:
        return "never"
    return clock.duration(max(round(seconds / FIVE_MINUTES), 1) * FIVE_MINUTES)


def width() -> int:
    """Columns to write in: those of the terminal, from 40 to 100."""
    return min(max(shutil.get_terminal_size((80, 24)).columns, 40), 100)


def say_line(text: str) -> None:
    """One paragraph."""
    click.echo("\n".join(_wrapped(text, width())))


def say_rows(rows: Rows) -> None:
    """A name and what it is, the second in one column, wrapped under itself."""
    rows = list(rows)
    left = max(len(name) for name, _ in rows) + 4
    for name, words in rows:
        for index, line in enumerate(_wrapped(words, max(width() - left, 20))):
            click.echo(f"  {name if index == 0 else '':<{left - 2}}{line}")


def _wrapped(text: str, columns: int) -> list[str]:
    """Lines of a text in which no number is parted from its unit."""
    kept = re.sub(r"(?<=\d) (?=\S)", "\N{NO-BREAK SPACE}", text)
    return [line.replace("\N{NO-BREAK SPACE}", " ") for line in textwrap.wrap(kept, columns)]
