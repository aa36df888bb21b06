"""The dashboard of a live dairy: a viewer, with a recorder beside it."""

import os
import subprocess
import sys
from pathlib import Path

import click

from cavewatch.cli.live import Live
from cavewatch.core.errors import CavewatchError
from cavewatch.screens import DashboardApp
from cavewatch.screens.desk import Desk


def open_dashboard(config_path: Path | None) -> None:
    """Show the dairy; start a recorder as a process of its own if none is running."""
    live = Live.opened(config_path)
    if live.lock.holder() is None:
        start_recorder(live.config.path, live.config.store_path)
    try:
        show(live.desk())
    finally:
        live.store.close()
    if live.lock.holder():
        click.echo("The recorder goes on recording; 'cavewatch record --stop' ends it.")


def show(desk: Desk) -> None:
    """Run the dashboard on this terminal.

    Raises:
        CavewatchError: where the terminal cannot show one.
    """
    if os.environ.get("TERM", "") == "dumb" or not (sys.stdin.isatty() and sys.stderr.isatty()):
        raise CavewatchError(
            "this terminal cannot show the dashboard; 'cavewatch status' prints one screen of text"
        )
    DashboardApp(desk).run()


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
