"""The root command: without a subcommand it opens the dashboard."""

import sys
from importlib import import_module
from keyword import iskeyword
from pathlib import Path
from typing import Any

import click

from cavewatch import __version__
from cavewatch.cli.terminal import shows_screens
from cavewatch.core.errors import CavewatchError

COMMANDS = (
    "alarm",
    "brine",
    "check",
    "clock",
    "export",
    "import",
    "make",
    "notice",
    "record",
    "replay",
    "salt",
    "sensor",
    "service",
    "status",
    "wheel",
)
"""Each is a module of this package with a click command of its name; an underscore is put behind a
word of Python."""


class LazyGroup(click.Group):
    """Imports a subcommand's module only when it is called for; tells faults in one sentence."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """The names of all subcommands."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """The subcommand of this name."""
        if cmd_name not in COMMANDS:
            return None
        name = f"{cmd_name}_" if iskeyword(cmd_name) else cmd_name
        command: click.Command = getattr(import_module(f"cavewatch.cli.{name}"), name)
        return command

    def invoke(self, ctx: click.Context) -> Any:
        """Run; what a person can put right is said without a traceback."""
        try:
            return super().invoke(ctx)
        except CavewatchError as fault:
            raise click.ClickException(str(fault)) from fault
        except BrokenPipeError:
            sys.exit(141)


@click.group(cls=LazyGroup, invoke_without_command=True)
@click.version_option(__version__, package_name="cavewatch")
@click.option(
    "--config",
    "config_path",
    type=click.Path(path_type=Path),
    help="The dairy's config file; otherwise $CAVEWATCH_CONFIG, else your own, else the service's.",
)
@click.pass_context
def main(ctx: click.Context, config_path: Path | None) -> None:
    """Salting countdowns and cave watching for people who make cheese by hand.

    Without a command, opens the dashboard of the dairy in the config, or prints
    its status where the terminal cannot show a dashboard.
    """
    ctx.obj = config_path
    if ctx.invoked_subcommand is not None:
        return
    if shows_screens():
        from cavewatch.cli.dashboard import open_dashboard  # noqa: PLC0415

        open_dashboard(config_path)
    else:
        from cavewatch.cli.status import status  # noqa: PLC0415

        ctx.invoke(status)
