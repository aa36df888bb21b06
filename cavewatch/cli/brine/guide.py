"""`cavewatch brine guide`: what can go wrong with brined cheese and its brine."""

import click

from cavewatch.core.brine.defects import CLEANING, DEFECTS, NO_VERDICT, matching
from cavewatch.core.errors import CavewatchError
from cavewatch.core.text import clean


@click.command()
@click.argument("word", default="")
def guide(word: str) -> None:
    """What goes wrong with brine and rinds, why, and what to do; only what names WORD.

    WORD is such as 'slimy', 'gas' or 'cloud'. Nothing here says that a cheese
    is fit to eat.
    """
    found = matching(word)
    if not found:
        names = ", ".join(each.name for each in DEFECTS)
        raise CavewatchError(f"the guide has nothing on '{clean(word, 40)}'; it has {names}")
    for each in found:
        click.echo(each.name.upper())
        rows = {
            "looks": each.looks,
            "causes": each.causes,
            "do": each.do,
            "source": each.source,
        }
        for label, words in rows.items():
            click.echo(
                click.wrap_text(words, initial_indent=f"  {label:<8}", subsequent_indent=" " * 10)
            )
        click.echo()
    click.echo(click.wrap_text(f"{CLEANING} {NO_VERDICT}"))
