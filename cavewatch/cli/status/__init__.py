"""`cavewatch status`: one screen of text, and an exit status for scripts."""

import json
import sys
from collections.abc import Iterator
from pathlib import Path

import click

from cavewatch.cli.live import Live, config_of
from cavewatch.cli.status.lines import one_line, screen
from cavewatch.cli.status.plain import plain, plain_fault
from cavewatch.cli.status.verdict import Verdict, verdict
from cavewatch.cli.terminal import showable, width
from cavewatch.core.errors import CavewatchError
from cavewatch.core.text import clean
from cavewatch.store import RecorderLock, Store


class _MisuseError(click.UsageError):
    """A call that is not understood; its usual exit status would say that an alarm waits."""

    exit_code = Verdict.UNWATCHED


class _Status(click.Command):
    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        try:
            return super().parse_args(ctx, args)
        except click.UsageError as fault:
            raise _MisuseError(fault.format_message(), ctx) from fault


@click.command(cls=_Status)
@click.option("--line", "as_line", is_flag=True, help="One line, for a login or a status bar.")
@click.option("--json", "as_json", is_flag=True, help="All of it as JSON.")
@click.pass_obj
def status(config_path: Path | None, as_line: bool, as_json: bool) -> None:
    """Say how the dairy stands.

    The exit status is 0 if all is well, 1 if something needs attention (work is
    due, an alarm is acknowledged or passed unseen, the clock is not set), 2 if an
    alarm waits to be acknowledged, 3 if nobody watches: no recorder runs, every
    sensor is silent, or config or store cannot be read.
    """
    try:
        found, said = _told(config_path, as_line, as_json)
    except CavewatchError as fault:
        found, said = Verdict.UNWATCHED, list(_fault(str(fault), as_line, as_json))
    for line in said:
        click.echo(showable(line))
    sys.exit(found)


def _told(config_path: Path | None, as_line: bool, as_json: bool) -> tuple[Verdict, list[str]]:
    """The verdict, and what to print; reads the store and changes nothing."""
    config = config_of(config_path)
    live = Live(config, Store.as_it_is(config.store_path), RecorderLock(config.store_path))
    try:
        desk = live.desk()
        dairy = desk.picture()
        recording = live.lock.holder() is not None
        found, why = verdict(dairy, recording, live.lock.said() if recording else live.told())
        if as_json:
            return found, [json.dumps(plain(dairy, desk, found, why), indent=2)]
        if as_line:
            return found, [one_line(dairy, desk, found, why)]
        return found, list(screen(dairy, desk, found, why, width()))
    finally:
        live.store.close()


def _fault(text: str, as_line: bool, as_json: bool) -> Iterator[str]:
    if as_json:
        yield json.dumps(plain_fault(text), indent=2)
    elif as_line:
        yield f"UNWATCHED: {clean(text, 300)}"
    else:
        first, *more = text.splitlines()
        yield f"UNWATCHED: {clean(first, 1000)}"
        yield from (clean(line, 1000) for line in more)
