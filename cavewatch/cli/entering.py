"""How every command that enters something asks when, by whom and on which wheels."""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import click

from cavewatch import clock, units
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.live import Live
from cavewatch.core import journal
from cavewatch.core.dairy import Dairy
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Act
from cavewatch.core.urgent import wheel_words

Command = Callable[..., Any]
NOBODY = (
    "nobody's initials stand beside it, which a record needs: give --by AB, or write "
    'initials = "AB" under [dairy] in the config'
)
LONGEST = 20
"""A longer word is no wheel, nor two [characters]."""


def entry(command: Command) -> Command:
    """The options that every entry has: when, and by whom."""
    command = click.option("--by", help="Initials; otherwise those of the config.")(command)
    return click.option(
        "--at", default="now", show_default=True, help="'16:30', 'Fri 16:30', '3 h ago', ..."
    )(command)


def on_wheels(command: Command) -> Command:
    """The options that say which wheels."""
    command = click.option("--in", "inside", metavar="PLACE", help="Everything there.")(command)
    command = click.option("--make", metavar="WHEEL", type=int, help="The make of this wheel.")(
        command
    )
    command = click.argument("numbers", metavar="[WHEELS]...", nargs=-1)(command)
    return entry(command)


def enter(
    config_path: Path | None,
    act: Callable[[StoreDesk, Dairy], Act],
    at: str,
    by: str | None,
) -> None:
    """Append one entry, and say so once it is on disk."""
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        when = clock.instant(at, desk.now(), desk.zone)
        made = act(desk, desk.picture())
        signed = (desk.initials if by is None else by).strip()
        kept = desk.append(made, when, signed, typed=not clock.is_relative(at))
        wheels = journal.wheels_of(made)
        what = journal.kind_of(made) + (f", {wheel_words(wheels)}" if wheels else "")
        click.echo(f"entry {kept.id}: {what}, {clock.moment(when, desk.now(), desk.zone)}")
        if not signed:
            click.echo(NOBODY, err=True)
    finally:
        live.store.close()


def chosen(
    desk: StoreDesk, dairy: Dairy, numbers: Iterable[str], make: int | None, inside: str | None
) -> tuple[int, ...]:
    """The wheels that were named, each once and all of them there."""
    chosen: set[int] = set()
    for text in numbers:
        first, dash, last = text.partition("-")
        last = last if dash else first
        if not (first.isdecimal() and last.isdecimal()) or len(text) > LONGEST:
            raise CavewatchError(
                f"{units.quoted(text)} names no wheel; write a number such as 14, or 14-17"
            )
        if int(last) > max(dairy.wheels, default=0):
            raise CavewatchError(
                f"there is no {wheel_words([int(last)])}; 'cavewatch wheel list' shows all"
            )
        chosen.update(range(int(first), int(last) + 1))
    if make is not None:
        if make not in dairy.wheels:
            raise CavewatchError(f"there is no wheel {make}; 'cavewatch wheel list' shows all")
        number = dairy.wheels[make].make
        chosen.update(n for n, found in dairy.wheels.items() if found.make == number)
    if inside is not None:
        place = place_named(desk, inside)
        chosen.update(n for n, found in dairy.wheels.items() if found.place == place)
    absent = chosen - set(dairy.wheels)
    if absent:
        raise CavewatchError(f"there is no {wheel_words(absent)}; 'cavewatch wheel list' shows all")
    if not chosen:
        raise CavewatchError("name the wheels: numbers, --make WHEEL or --in PLACE")
    return tuple(sorted(chosen))


def place_named(desk: StoreDesk, name: str) -> str:
    """The place of this name, whatever its capitals; raise CavewatchError if there is none."""
    for place in desk.places:
        if place.name.casefold() == name.casefold():
            return place.name
    raise CavewatchError(
        f"there is no place '{name}'; write one of {', '.join(p.name for p in desk.places)}"
    )
