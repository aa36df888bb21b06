"""The dashboard of a live dairy: a viewer, with a recorder beside it."""

import subprocess
import sys
from pathlib import Path

import click

from cavewatch.cli.live import Live
from cavewatch.cli.terminal import shows_screens
from cavewatch.config import SERVICE_CONFIG, default_path
from cavewatch.core.errors import CavewatchError
from cavewatch.screens import DashboardApp
from cavewatch.screens.desk import Desk


def open_dashboard(config_path: Path | None) -> None:
    """Show the dairy; start a recorder as a process of its own if none is running.

    That of the service's dairy is left to the service: another one would be in its way. Where
    there is no config yet, a guided set-up writes one first.
    """
    path = config_path or default_path()
    if not path.exists():
        from cavewatch.cli.setting_up import set_up  # noqa: PLC0415 - once in a dairy's life

        if not set_up(path):
            click.echo(f"Left without a config; nothing was written to {path}.")
            return
    live = Live.opened(config_path)
    if live.lock.holder() is None and live.config.path != SERVICE_CONFIG:
        start_recorder(live.config.path, live.config.store_path)
    try:
        show(live.desk(), live.config.bell)
    finally:
        live.store.close()
    if live.lock.holder() and live.config.path != SERVICE_CONFIG:
        click.echo("The recorder goes on recording; 'cavewatch record --stop' ends it.")


def show(desk: Desk, bell: bool = False) -> None:
    """Run the dashboard on this terminal.

    Args:
        desk: the dairy.
        bell: whether the terminal's bell rings when an alarm calls anew.

    Raises:
        CavewatchError: where the terminal cannot show one.
    """
    if not shows_screens():
        raise CavewatchError(
            "this terminal cannot show the dashboard; 'cavewatch status' prints one screen of text"
        )
    DashboardApp(desk, bell=bell).run()


def start_recorder(config: Path, store: Path) -> None:
    """Start a recorder that no terminal can take down; what it has to say goes to a file."""
    store.parent.mkdir(parents=True, exist_ok=True)
    with store.with_name(store.name + ".log").open("wb") as log:
        subprocess.Popen(
            [sys.executable, "-m", "cavewatch", "--config", str(config.resolve()), "record"],
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=log,
            start_new_session=True,
        )
