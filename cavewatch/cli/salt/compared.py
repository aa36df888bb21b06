"""Plans side by side: of several strengths, or of several times."""

import re
from collections.abc import Sequence
from dataclasses import replace

import click

from cavewatch import units
from cavewatch.cli.salt.layout import Rows, duration, say_line, say_rows, width
from cavewatch.cli.salt.typed import Typed
from cavewatch.core.countdown import Action
from cavewatch.core.errors import CavewatchError
from cavewatch.core.salting.planning import Planned
from cavewatch.core.salting.remarks import remarks
from cavewatch.core.style import Method
from cavewatch.units import Display


def compared(typed: Typed, method: Method) -> list[Typed]:
    """One of each of several strengths or times, from '18 %, 20 %, 22 %' or '12 h, 24 h'."""
    assert typed.compare is not None
    items = [item.strip() for item in re.split(r";|,(?![0-9])|(?<![0-9]),", typed.compare)]
    items = [item for item in items if item]
    unit = re.search(r"[^0-9.,\s].*$", items[-1]) if items else None
    if unit:
        items = [item if re.search(r"[^0-9.,\s]", item) else f"{item} {unit[0]}" for item in items]
    if not 2 <= len(items) <= 12:
        raise CavewatchError(
            f"{units.quoted(typed.compare)} is not from 2 to 12 strengths or times; write them "
            "like '18 %, 20 %, 22 %' or '12 h, 24 h'"
        )
    times = re.search(r"[0-9]\s*(?:s|sec\w*|min\w*|h|hours?|d|days?)$", items[0].lower())
    if times:
        if typed.hold or typed.target:
            raise CavewatchError("--compare with times goes with neither --for nor --target")
        return [replace(typed, compare=None, hold=item) for item in items]
    if typed.brine or method is not Method.BRINE:
        raise CavewatchError("--compare with strengths is for brine, and without --brine")
    return [replace(typed, compare=None, brine=item) for item in items]


def say_compared(plans: Sequence[Planned], heads: Sequence[str], display: Display) -> None:
    """Plans side by side, as many as fit."""
    first = plans[0].asked
    say_line(f"{first.style.name}, {display.mass(first.weight)}, {display.shape(first.shape)}")
    columns = [dict(_column(each, display)) for each in plans]
    left = max(len(name) for name in columns[0]) + 2
    wide = 2 + max(len(cell) for column in columns for cell in (*heads, *column.values()))
    fit = max((width() - left) // wide, 1)
    for begin in range(0, len(plans), fit):
        some = slice(begin, begin + fit)
        click.echo("")
        click.echo(" " * left + "".join(f"{head:>{wide}}" for head in heads[some]))
        for name in columns[0]:
            cells = "".join(f"{column[name]:>{wide}}" for column in columns[some])
            click.echo(f"{name:<{left}}{cells}")
    for caution in dict.fromkeys(word for each in plans for word in remarks(each)):
        say_rows([("caution", caution)])


def _column(planned: Planned, display: Display) -> Rows:
    lift = planned.lift
    yield "lift after", duration(lift.expected)
    if planned.asked.hold is None:
        yield "  earliest", duration(lift.low)
        yield "  latest", duration(lift.high)
    turns = [step for step in planned.steps if step.action is Action.TURN]
    yield "turns", str(len(turns))
    yield "first turn", duration(turns[0].at.expected) if turns else "-"
    salt = planned.put_on
    yield "salt put on", display.to_weigh(salt.expected) if salt else "-"
    yield "salt", f"{planned.salt_percent.expected:.2f} %"
    yield "  at least", f"{planned.salt_percent.low:.2f} %"
    yield "  at most", f"{planned.salt_percent.high:.2f} %"
    yield "S/M", f"{planned.salt_in_moisture.expected:.1f} %"
    yield "weighs", display.to_weigh(planned.weight_after.expected)
    yield "even after", display.days(planned.even_after.expected)
    brine = planned.brine_after
    yield "brine after", f"{brine.expected:.1f} %" if brine else "-"
