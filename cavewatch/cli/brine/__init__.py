"""`cavewatch brine`: mix it, read it, restore it, and keep its record."""

import click

from cavewatch.cli.brine.enter import measured, tended
from cavewatch.cli.brine.guide import guide
from cavewatch.cli.brine.life import life
from cavewatch.cli.brine.mix import mix
from cavewatch.cli.brine.properties import properties
from cavewatch.cli.brine.read import read
from cavewatch.cli.brine.restore import restore


@click.group()
def brine() -> None:
    """Mix a brine, read its strength, restore it, and enter what was done to a tub."""


for _command in (mix, read, restore, properties, measured, tended, life, guide):
    brine.add_command(_command)
