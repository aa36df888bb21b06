"""`cavewatch export`: what is kept, given away as a file, while the recording goes on."""

import sys
from collections.abc import Callable
from pathlib import Path

import click

from cavewatch.cli.live import config_of
from cavewatch.core.errors import CavewatchError
from cavewatch.store.backup import back_up


@click.command()
@click.option(
    "--store",
    "store_to",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="A whole copy of the store, as it is at this moment.",
)
@click.pass_obj
def export(config_path: Path | None, store_to: Path | None) -> None:
    """Give away what is kept, as a new file.

    A copy of the store can be put in the store's place when no recorder is running, or be
    looked at through a config whose [store] path names it.
    """
    if store_to is None:
        raise CavewatchError("say what to export: cavewatch export --store FILE")
    config = config_of(config_path)
    back_up(config.store_path, store_to, _progress())
    click.echo(f"{store_to}: {store_to.stat().st_size / 1e6:,.1f} MB, checked and sound")


def _progress() -> Callable[[float], None]:
    """Says how far a copy is, in one line of a terminal; elsewhere nothing."""
    if not sys.stderr.isatty():
        return lambda _: None

    def show(part: float) -> None:
        click.echo(f"\r{part:4.0%} copied", nl=part >= 1.0, err=True)

    return show
