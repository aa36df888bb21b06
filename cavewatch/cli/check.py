"""`cavewatch check`: is the config sound, what is plugged in, is a recorder at work."""

from pathlib import Path

import click

from cavewatch.cli.live import config_of
from cavewatch.store import RecorderLock
from sensors.one_wire import probe_files
from sensors.ports import serial_ports


@click.command()
@click.pass_obj
def check(config_path: Path | None) -> None:
    """Check the config and say which serial ports and one-wire probes exist.

    Every mistake is named, each in one sentence with file, line and key; the
    exit status is 1 if there is any.
    """
    try:
        config = config_of(config_path)
        channels = len(config.channels)
        click.echo(f"{config.path}: in order; {len(config.places)} places, {channels} channels")
        holder = RecorderLock(config.store_path).holder()
        state = "no recorder is running" if holder is None else f"recorder is process {holder}"
        click.echo(f"{config.store_path}: {state}")
    finally:
        ports = serial_ports()
        click.echo("serial ports:" if ports else "serial ports: none found")
        for port in ports:
            name = port.stable or port.device
            click.echo(f"  {name}  {port.description}")
        files = probe_files()
        click.echo("one-wire probes:" if files else "one-wire probes: none found")
        for file in files:
            click.echo(f"  {file}")
