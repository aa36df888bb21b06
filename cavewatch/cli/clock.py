"""`cavewatch clock`: whether the machine's clock is right, and the maker's word that it is."""

from pathlib import Path

import click

from cavewatch.cli.live import UNSET, Live, stamp_of
from cavewatch.clock import Stamp, duration, local, zone


@click.group(invoke_without_command=True)
@click.pass_context
def clock(ctx: click.Context) -> None:
    """Say what time it is here, and whether that is certain.

    After a power cut a machine without a battery clock does not know the time. What is recorded
    meanwhile is put right once the network sets the clock, or once you do and say so.
    """
    if ctx.invoked_subcommand is None:
        live = Live.opened(ctx.obj)
        try:
            stamp = live.store.judged(stamp_of(live.config)())
            click.echo(f"{_time(live, stamp)}, switched on {duration(stamp.up)} ago")
            click.echo(UNSET if stamp.by is None else f"the clock is right: {stamp.by} says so")
        finally:
            live.store.close()


@clock.command()
@click.pass_obj
def right(config_path: Path | None) -> None:
    """The machine's clock is right: count on it until the machine is switched off."""
    live = Live.opened(config_path)
    try:
        stamp = stamp_of(live.config)()
        live.store.say_right(stamp.boot)
        click.echo(f"{_time(live, stamp)}: the clock counts as right until the machine is off")
        if live.lock.holder() is None:
            click.echo("what was noted before is put right when a recorder is started")
    finally:
        live.store.close()


def _time(live: Live, stamp: Stamp) -> str:
    return f"{local(stamp.wall, zone(live.config.zone)):%a %d %b %Y %H:%M:%S}"
