"""Small bars: where a value lies between its edges, and how far something has come."""

from cavewatch.core.countdown import Span
from cavewatch.core.ranges import Range
from cavewatch.core.reading import Quantity
from cavewatch.screens.lines import Line, Part, Role, cell

_REACH = {Quantity.TEMPERATURE: 5.0, Quantity.HUMIDITY: 10.0}
"""Breadth shown where a range has one edge only [degC], [%]."""


def gauge(value: float | None, limits: Range, quantity: Quantity, width: int) -> Line:
    """A mark between the edges of its range; outside of them an arrow and LOW or HIGH.

    Blank where there is no value or no range, and a word where the range is a clash.
    """
    if limits.clash:
        return cell(Part("clash", Role.CAUTION), width)
    if value is None or (limits.low is None and limits.high is None):
        return (Part(" " * width),)
    missed = limits.misses(value)
    if missed < 0:
        return Part("◂ LOW", Role.ALERT), Part(" "), Part("─" * (width - 6), Role.FAINT)
    if missed > 0:
        return Part("─" * (width - 7), Role.FAINT), Part(" "), Part("HIGH ▸", Role.ALERT)
    low, high = _edges(limits, quantity)
    spot = min(width - 1, int((value - low) / (high - low) * width)) if high > low else width // 2
    return (
        Part("─" * max(0, spot), Role.FAINT),
        Part("●"),
        Part("─" * (width - 1 - max(0, spot)), Role.FAINT),
    )


def _edges(limits: Range, quantity: Quantity) -> tuple[float, float]:
    reach = _REACH[quantity]
    if limits.low is None:
        assert limits.high is not None
        return limits.high.value - reach, limits.high.value
    if limits.high is None:
        return limits.low.value, limits.low.value + reach
    return limits.low.value, limits.high.value


def progress(part: float, width: int) -> Line:
    """A bar that fills from 0 to 1."""
    full = max(0, min(width, round(part * width)))
    return Part("━" * full, Role.STRONG), Part("─" * (width - full), Role.FAINT)


def salt_bar(salt: Span, target: Span, width: int) -> Line:
    """How much of the salt that is aimed at is in the wheel."""
    return progress(salt.expected / target.expected if target.expected > 0 else 0.0, width)
