"""`cavewatch check`: is the config sound, what is plugged in, is a recorder at work."""

import os
from importlib.util import find_spec
from pathlib import Path

import click

from cavewatch.cli import proposing
from cavewatch.cli.listening import USUAL, listen
from cavewatch.cli.live import config_of
from cavewatch.config import Config
from cavewatch.core.errors import CavewatchError
from cavewatch.store import RecorderLock
from sensors.one_wire import probe_files
from sensors.ports import serial_ports


@click.command()
@click.option("--listen", "port", metavar="PORT", help="Show what a serial port says instead.")
@click.option(
    "--baud",
    type=click.IntRange(50, 4_000_000),
    help="With --listen: its speed; otherwise the usual ones are tried.",
)
@click.option(
    "--seconds",
    type=click.FloatRange(1, 3600),
    default=60,
    show_default=True,
    help="With --listen: how long.",
)
@click.pass_obj
def check(config_path: Path | None, port: str | None, baud: int | None, seconds: float) -> None:
    """Check the config and say which serial ports and one-wire probes exist.

    Every mistake is named, each in one sentence with file, line and key; the
    exit status is 1 if there is any.

    With --listen, show each line that a serial port sends and what is understood
    of it, and propose the settings for that sensor.
    """
    if port is not None:
        _listen(config_path, port, USUAL if baud is None else (baud,), seconds)
        return
    try:
        config = config_of(config_path)
        channels = len(config.channels)
        click.echo(f"{config.path}: in order; {len(config.places)} places, {channels} channels")
        holder = RecorderLock(config.store_path).holder()
        state = "no recorder is running" if holder is None else f"recorder is process {holder}"
        click.echo(f"{config.store_path}: {state}")
        if config.mqtt is not None and find_spec("paho") is None:
            raise CavewatchError(
                f"{config.path}: [mqtt] needs the package paho-mqtt; install Cavewatch with its "
                "extra 'mqtt', or take [mqtt] out"
            )
    finally:
        ports = serial_ports()
        click.echo("serial ports:" if ports else "serial ports: none found")
        for found in ports:
            click.echo(f"  {found.lasting}  {found.description}")
            for name in found.stable[1:]:
                click.echo(f"    also {name}")
        files = probe_files()
        click.echo("one-wire probes:" if files else "one-wire probes: none found")
        for file in files:
            click.echo(f"  {file}")


def _listen(config_path: Path | None, port: str, bauds: tuple[int, ...], seconds: float) -> None:
    try:
        config: Config | None = config_of(config_path)
    except CavewatchError:
        config = None  # Who has none yet wants to hear the port all the same.
    heard = listen(port, bauds, seconds)
    device = os.path.realpath(port)
    known = {found.device: found.stable for found in serial_ports()}
    lasting = next(iter(known.get(device, ())), port)
    click.echo()
    if heard.last is not None:
        click.echo("For the config:\n")
        click.echo("\n".join(proposing.sensor(lasting, heard, heard.last, config)))
    elif heard.data:
        click.echo(
            f"{heard.data} bytes came and none of the lines could be read. Look up in the sensor's "
            "manual its speed (--baud) and what it sends: lines of text are needed, or Modbus RTU."
        )
    else:
        click.echo(
            f"Nothing came in {seconds:g} s. A sensor that sends seldom needs a longer --seconds; "
            "a Modbus transmitter on RS-485 says nothing until it is asked. If this is one, try "
            "this in the config, and see what 'cavewatch status' says of it while "
            "'cavewatch record' runs:\n"
        )
        click.echo("\n".join(proposing.modbus(lasting, config)))
