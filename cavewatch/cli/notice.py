"""`cavewatch notice`: does word of an alarm reach the maker?"""

import threading
from pathlib import Path

import click

from cavewatch import clock
from cavewatch.cli.live import config_of
from cavewatch.config import Config
from cavewatch.core.errors import CavewatchError
from cavewatch.core.notices import Kind, Message, Notice
from cavewatch.core.text import clean
from cavewatch.recorder.errand import Errand
from cavewatch.recorder.notice_words import worded
from cavewatch.recorder.sending import sender
from cavewatch.units import quoted

_LOOK = 0.1
"""How often to see whether a message has gone out [s]."""


@click.group()
def notice() -> None:
    """How you are told of alarms when you look at no screen; [[notice]] in the config."""


@notice.command("try")
@click.argument("name", required=False)
@click.pass_obj
def try_(config_path: Path | None, name: str | None) -> None:
    """Send a trial message by every notice, or by the one called NAME.

    Says of each whether it went out; the exit status is 1 if one did not.
    """
    config = config_of(config_path)
    notices = _chosen(config, name)
    send = sender(config.path.parent, clock.elapsed)
    said = worded(Message(Kind.TRIAL), config.name, clock.now(), clock.zone(config.zone))
    errands = [send(each, said) for each in notices]
    try:
        ends = [_end(errand) for errand in errands]
    finally:
        for errand in errands:
            errand.stop()
    for each, end in zip(notices, ends, strict=True):
        click.echo(clean(f"{each.name}: {end or 'went out; see whether it came'}", 400))
    if any(ends):
        raise SystemExit(1)


def _chosen(config: Config, name: str | None) -> list[Notice]:
    if not config.notices:
        raise CavewatchError(
            f"{config.path} has no notices; write [[notice]] as config.example.toml shows"
        )
    found = [n for n in config.notices if name is None or n.name.casefold() == name.casefold()]
    if not found:
        known = ", ".join(quoted(each.name) for each in config.notices)
        raise CavewatchError(f"there is no notice {quoted(name or '')}; there is {known}")
    return found


def _end(errand: Errand) -> str:
    """How a message ended, once it has; empty where it went out."""
    wait = threading.Event().wait
    while (end := errand.look()) is None:
        wait(_LOOK)
    return end
