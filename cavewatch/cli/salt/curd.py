"""Salt milled into the curd, as text."""

from cavewatch.cli.salt.answered import DRAINS
from cavewatch.cli.salt.layout import Rows, percent, say_line, say_rows, spoons
from cavewatch.cli.salt.wording import once_aged, target_words
from cavewatch.core.salting.milled import Milled, MilledAsked
from cavewatch.core.salting.teaspoons import Grain
from cavewatch.units import Display


def say_milled(asked: MilledAsked, made: Milled, display: Display, grain: Grain) -> None:
    """The dose, what drains, and what comes of it."""
    say_line(f"{asked.style.name}, {display.mass(asked.curd)} of milled curd")
    say_rows(_milled(asked, made, display, grain))


def _milled(asked: MilledAsked, made: Milled, display: Display, grain: Grain) -> Rows:
    whole = (
        f"{display.to_weigh(made.dose)} of salt, {spoons(grain.teaspoons(made.dose))} {grain.name}"
    )
    parts = len(made.applications)
    each = f", in {parts} parts of {display.to_weigh(made.applications[0])}" if parts > 1 else ""
    yield "mill in", f"{whole}{each}"
    yield "drains", f"{percent(made.drains, 100)} of it, {display.ranged(made.drained)}"
    yield "cheese", f"{display.ranged(made.cheese)} once pressed"
    yield "salt", f"{percent(made.salt_percent)} of its weight"
    yield "", f"{percent(made.salt_in_moisture)} of its moisture (S/M)"
    aged = "" if asked.target else f", {once_aged(asked.style)}"
    yield "target", f"{target_words(made.target)} once pressed{aged}"
    yield "moisture", f"{made.moisture:g} % once pressed"
    yield "mind", DRAINS
