"""`cavewatch service`: the recorder as a service of the system, started with the machine."""

import os
import pwd
import sys
from collections.abc import Iterable
from pathlib import Path

import click

from cavewatch.cli.live import config_of
from cavewatch.cli.service.plan import NAME, installing, objections, removing, written
from cavewatch.cli.service.steps import Step, answer
from cavewatch.cli.service.unit import STATE
from cavewatch.config import SERVICE_CONFIG, Config, ConfigError, load, parse
from cavewatch.core.errors import CavewatchError
from cavewatch.core.text import clean

_dry = click.option("--dry-run", is_flag=True, help="Only print every file and command.")


@click.group()
def service() -> None:
    """Have systemd run the recorder, from the start of the machine on."""


@service.command()
@_dry
@click.option("--user", help="Who looks at the dairy; otherwise whoever called sudo.")
@click.pass_obj
def install(config_path: Path | None, dry_run: bool, user: str | None) -> None:
    """Make the recorder a service, or bring one up to date.

    The config that is named is copied to /etc/cavewatch/config.toml, where
    everybody finds it. Once it is there, change it there, and install again
    when it begins or ceases to use the network.
    """
    program = (sys.executable, "-I", "-m", "cavewatch")
    config, text = _served(config_path)
    maker = user or os.environ.get("SUDO_USER") or _caller()
    home = _home(maker)
    doubts = list(objections(config, program))
    if not dry_run:
        if doubts:
            raise CavewatchError("\n".join(doubts))
        _need_system()
    for doubt in doubts:
        click.echo(f"Not yet: {doubt}", err=True)
    _go(installing(config, text, program, maker), dry_run)
    if dry_run:
        return
    click.echo(f"The recorder runs as {NAME}; its config is {SERVICE_CONFIG}.")
    if maker is None:
        click.echo("Nobody was added to the group cavewatch: name somebody with --user.")
    else:
        click.echo(f"{maker} is in the group cavewatch from the next login on.")
    if home is not None and (own := home / ".config/cavewatch/config.toml").exists():
        click.echo(f"{own} comes first for {maker}: rename it to see the service's dairy.")


@service.command()
@_dry
def remove(dry_run: bool) -> None:
    """End the service; its config, its record, its user and group stay."""
    if not dry_run:
        _need_system()
    _go(removing(), dry_run)
    if not dry_run:
        click.echo(f"The service is gone; {SERVICE_CONFIG} and {STATE} are as they were.")


@service.command()
def show() -> None:
    """Say whether the service is there, as this version makes it, and running."""
    config = load(SERVICE_CONFIG)
    click.echo(f"config: {SERVICE_CONFIG}\nstore: {config.store_path}")
    for file in written(config, (sys.executable, "-I", "-m", "cavewatch")):
        try:
            same = file.path.read_text("utf-8") == file.text
            state = "as it should be" if same else "differs: call 'cavewatch service install' again"
        except (OSError, UnicodeDecodeError):
            state = "not there"
        click.echo(f"{file.path}: {state}")
    for question in ("is-enabled", "is-active"):
        click.echo(f"{question}: {answer('systemctl', question, NAME) or 'systemd does not say'}")


def _served(named: Path | None) -> tuple[Config, str | None]:
    """The config as the service reads it; its text too, if that is to be put into its place."""
    source = config_of(named).path
    text = source.read_text("utf-8-sig")
    if source.resolve() == SERVICE_CONFIG.resolve():
        return load(SERVICE_CONFIG), None
    if SERVICE_CONFIG.exists() and SERVICE_CONFIG.read_text("utf-8-sig") != text:
        raise CavewatchError(
            f"{SERVICE_CONFIG} is there already and says something else; change that one and call "
            "this without --config, or move it away"
        )
    try:
        return parse(text, SERVICE_CONFIG), text
    except ConfigError as fault:
        raise CavewatchError(
            f"{source} would not be in order as {SERVICE_CONFIG}; write whole paths in it: {fault}"
        ) from fault


def _caller() -> str | None:
    """Who calls this; None for root, who may see everything anyway."""
    return None if os.getuid() == 0 else pwd.getpwuid(os.getuid()).pw_name


def _home(maker: str | None) -> Path | None:
    """The maker's home folder; raise CavewatchError if there is no such user."""
    if maker is None:
        return None
    try:
        return Path(pwd.getpwnam(maker).pw_dir)
    except KeyError:
        raise CavewatchError(
            f"there is no user '{clean(maker, 40)}' on this machine; name another with --user"
        ) from None


def _need_system() -> None:
    if not Path("/run/systemd/system").is_dir():
        raise CavewatchError(
            "systemd does not run this machine; let your service manager run 'cavewatch record', "
            "or see the files with 'cavewatch service install --dry-run'"
        )
    if os.geteuid() != 0:
        raise CavewatchError(
            f"only root may do this; call 'sudo {Path(sys.prefix) / 'bin/cavewatch'} service ...'"
        )


def _go(steps: Iterable[Step], dry_run: bool) -> None:
    for step in steps:
        if dry_run:
            click.echo(step.shown())
        else:
            step.do()
