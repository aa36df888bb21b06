"""`cavewatch wheel label` and `cavewatch wheel weights`: what is on record of one wheel."""

from collections.abc import Sequence
from pathlib import Path

import click

from cavewatch import clock
from cavewatch.cli.live import Live
from cavewatch.core.journal import Entry
from cavewatch.core.record import RecordError, milk_of, treatment
from cavewatch.core.record import weights as weights_of
from cavewatch.core.record.cautions import AUTHORITY, LABELLING
from cavewatch.core.text import clean
from cavewatch.core.wheel import Wheel, fold
from cavewatch.screens.making.label import label_lines
from cavewatch.screens.making.words import Sayer, raw_words, weight_words


@click.command()
@click.argument("number", metavar="WHEEL", type=int)
@click.pass_obj
def label(config_path: Path | None, number: int) -> None:
    """The text of WHEEL's label: style, lot, day of the make, weight, milk.

    It goes to the standard output; what is for you and not for the label to the other one.
    """
    live = Live.opened(config_path)
    try:
        wheel, entries = _wheel(live, number)
        desk = live.desk()
        say = Sayer(desk.zone, desk.display)
        done = treatment(milk_of(wheel, entries))
        for line in label_lines(wheel, done, weights_of(wheel, entries), say):
            click.echo(clean(line, 200))
        if done is None:
            click.echo("enter the milk with 'cavewatch make milk'", err=True)
        raw = desk.raw_milk(number)()
        if raw is not None:
            click.echo(f"raw milk: {raw_words(raw, desk.now(), say.zone)}", err=True)
            click.echo(AUTHORITY, err=True)
        click.echo(LABELLING, err=True)
    finally:
        live.store.close()


@click.command()
@click.argument("number", metavar="WHEEL", type=int)
@click.pass_obj
def weights(config_path: Path | None, number: int) -> None:
    """What WHEEL weighed over its life, and its loss against what is usual."""
    live = Live.opened(config_path)
    try:
        wheel, entries = _wheel(live, number)
        curve = weights_of(wheel, entries)
        say = Sayer(clock.zone(live.config.zone), live.desk().display)
        for line in weight_words(curve, say):
            click.echo(clean(line, 2000))
        for source in curve.sources:
            click.echo(clean(f"usual loss: {source}", 2000))
    finally:
        live.store.close()


def _wheel(live: Live, number: int) -> tuple[Wheel, Sequence[Entry]]:
    """A wheel, ended or not, and the journal."""
    entries = live.store.entries()
    places = {place.name: place for place in live.config.places}
    every, _ = fold(entries, live.config.styles, places)
    if number not in every:
        raise RecordError(f"there is no wheel {number} on record")
    return every[number], entries
