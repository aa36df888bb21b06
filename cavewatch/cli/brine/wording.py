"""How the brine commands say things: units, tables, the basis of a strength, cautions."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import click

from cavewatch import units
from cavewatch.cli.live import config_of
from cavewatch.config import default_path
from cavewatch.core.countdown import Span
from cavewatch.core.text import clean
from cavewatch.units import Display


def display_for(config_path: Path | None, *typed: str | None) -> Display:
    """The units of the config; where there is none, those of what was typed."""
    if config_path or default_path().exists():
        return Display(config_of(config_path).units)
    return Display(units.system_of(text for text in typed if text is not None))


def by_weight(strength: float) -> str:
    """A strength [% w/w] with its basis said in full."""
    return f"{strength:.1f} % by weight: {strength:.1f} g of salt in 100 g of brine"


def as_typed(text: str, strength: float) -> str:
    """A typed strength with what it is by weight, unless it was typed so."""
    if units.is_saturated(text):
        return f"saturated, {by_weight(strength)}"
    basis = units.basis(text)
    if basis == "by weight":
        return by_weight(strength)
    return f"{clean(text.strip(), 40)} ({basis}), which is {by_weight(strength)}"


def with_range(span: Span) -> str:
    """A strength [% w/w] as '20.0 % by weight (19.7 to 20.3 %)'; alone if the range rounds away."""
    low, expected, high = (f"{each:.1f}" for each in (span.low, span.expected, span.high))
    return f"{expected} % by weight" + ("" if low == high else f" ({low} to {high} %)")


def plain_span(span: Span) -> dict[str, float]:
    """A range as JSON types."""
    return {"low": span.low, "expected": span.expected, "high": span.high}


def say(rows: Iterable[tuple[str, str]]) -> None:
    """Lines of a name and what it is, the second in one column."""
    rows = list(rows)
    width = max(len(name) for name, _ in rows)
    for name, words in rows:
        click.echo(f"  {name:<{width}}  {words}")


def say_notes(word: str, notes: Iterable[str]) -> None:
    """Each note on a line of its own, under the word that says how to take it."""
    for note in notes:
        click.echo(f"  {word}: {note}")


def rounded(value: Any, figures: int = 6) -> Any:
    """JSON types with every number cut to so many figures, since none means more."""
    if isinstance(value, float):
        return float(f"{value:.{figures}g}")
    if isinstance(value, dict):
        return {key: rounded(item, figures) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [rounded(item, figures) for item in value]
    return value
