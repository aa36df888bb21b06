"""`cavewatch make`: the milk and pH of a make, and its sheet."""

import json
import textwrap
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from cavewatch import clock, units
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.entering import chosen, enter, entry
from cavewatch.cli.live import Live, config_of
from cavewatch.cli.making.plain import sheet_plain
from cavewatch.core import journal
from cavewatch.core.dairy import Dairy
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Act, Made, Sample, Treatment
from cavewatch.core.text import clean
from cavewatch.core.urgent import wheel_words
from cavewatch.core.wheel import fold
from cavewatch.screens.making.words import Sayer, sheet_lines
from cavewatch.styles.told import toml

Command = Callable[..., Any]
PAPER = 80
"""Columns of a sheet."""


@click.group()
def make() -> None:
    """Enter the milk and pH of a make, and draw up its sheet for the record.

    A make is named by one of its wheels, or before there are any by its lot: the label that
    'cavewatch wheel new --lot' will give it.
    """


def _on_make(command: Command) -> Command:
    """The options that say which make."""
    command = click.option("--lot", default="", help="Your label for the make.")(command)
    command = click.option("--make", "of", metavar="WHEEL", type=int, help="The make of this one.")(
        command
    )
    command = click.argument("numbers", metavar="[WHEELS]...", nargs=-1)(command)
    return entry(command)


@make.command()
@click.option(
    "--treatment",
    type=click.Choice([each.value for each in Treatment]),
    required=True,
    help="Heat-treated: warmed, but less than pasteurised.",
)
@_on_make
@click.option("--litres", help="How much: '100 L', '25 gal'.")
@click.option("--source", default="", help="Where it came from: farm, herd, milking.")
@click.option("--heat", default="", help="How it was heated: '63 degC, 30 min'.")
@click.option("--cultures", default="", help="In your words, with amounts.")
@click.option("--rennet", default="", help="Likewise.")
@click.pass_obj
def milk(
    config_path: Path | None,
    treatment: str,
    numbers: tuple[str, ...],
    of: int | None,
    lot: str,
    litres: str | None,
    source: str,
    heat: str,
    cultures: str,
    rennet: str,
    at: str,
    by: str | None,
) -> None:
    """The milk of a make, and what was put into it."""
    if treatment == Treatment.RAW and heat:
        raise CavewatchError(
            "raw milk is not heated; write --treatment heat-treated or pasteurised with --heat"
        )

    def act(desk: StoreDesk, dairy: Dairy) -> Act:
        return journal.Milk(
            Treatment(treatment),
            *_make_of(desk, dairy, numbers, of, lot),
            source=source,
            litres=units.volume(litres) if litres else None,
            heat=heat,
            cultures=cultures,
            rennet=rennet,
        )

    enter(config_path, act, at, by)


@make.command()
@click.argument("value", metavar="PH")
@click.argument("where", type=click.Choice([each.value for each in Sample]))
@_on_make
@click.pass_obj
def ph(
    config_path: Path | None,
    value: str,
    where: str,
    numbers: tuple[str, ...],
    of: int | None,
    lot: str,
    at: str,
    by: str | None,
) -> None:
    """A pH on the way from milk to cheese: cavewatch make ph 6.45 curd --lot 'Tuesday'."""
    found = units.ph(value)
    enter(
        config_path,
        lambda desk, dairy: journal.Acidity(
            found, Sample(where), *_make_of(desk, dairy, numbers, of, lot)
        ),
        at,
        by,
    )


@make.command()
@click.argument("number", metavar="WHEEL", type=int)
@click.option("--json", "as_json", is_flag=True, help="As JSON, for scripts.")
@click.pass_obj
def sheet(config_path: Path | None, number: int, as_json: bool) -> None:
    """The sheet of the make of WHEEL: milk, pH, salting, brine, weights, work, alarms, gaps.

    It tells what is on record and what is not; it is no proof that a cheese is fit to be eaten.
    """
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        found = desk.make_sheet(number)()
        if as_json:
            click.echo(json.dumps(sheet_plain(found, desk.zone), indent=2))
            return
        for line in sheet_lines(found, Sayer(desk.zone, desk.display)):
            click.echo("\n".join(_wrapped(clean(line, 4000))))
    finally:
        live.store.close()


@make.command("list")
@click.pass_obj
def list_(config_path: Path | None) -> None:
    """Every make on record, the newest last."""
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        for kept in journal.standing(live.store.entries()):
            if isinstance(kept.act, Made):
                style = desk.styles.get(kept.act.style)
                name = kept.act.style if style is None else style.name
                at = kept.at if kept.act.made_at is None else kept.act.made_at
                day = clock.local(at, desk.zone).date()
                words = f"{day}  {name}, {wheel_words(kept.act.wheels)}  {kept.act.lot}"
                click.echo(clean(words, 200).rstrip())
    finally:
        live.store.close()


@make.command()
@click.argument("name", metavar="STYLE")
@click.pass_obj
def style(config_path: Path | None, name: str) -> None:
    """All figures of a STYLE with their sources, as the config says them: to keep with a record.

    Put into a config, they make the same style again.
    """
    book = config_of(config_path).styles
    if name not in book:
        raise CavewatchError(
            f"there is no style {units.quoted(name)}; write one of {', '.join(sorted(book))}"
        )
    click.echo(toml(book[name]), nl=False)


def _wrapped(line: str) -> list[str]:
    """The line in lines of paper, its rest further in."""
    indent = " " * (len(line) - len(line.lstrip()) + 4)
    return textwrap.wrap(line, PAPER, subsequent_indent=indent, break_on_hyphens=False) or [""]


def _make_of(
    desk: StoreDesk, dairy: Dairy, numbers: Iterable[str], of: int | None, lot: str
) -> tuple[tuple[int, ...], str]:
    """The wheels that were named, ended ones too, or the lot."""
    numbers, lot = tuple(numbers), lot.strip()
    if bool(lot) == bool(numbers or of is not None):
        raise CavewatchError(
            "name the make: its wheels, --make WHEEL, or --lot before there are any"
        )
    if lot:
        return (), lot
    places = {place.name: place for place in desk.places}
    every, _ = fold(desk.entries(), desk.styles, places)
    return chosen(desk, replace(dairy, wheels=every), numbers, of, None), ""
