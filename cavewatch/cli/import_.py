"""`cavewatch import`: readings of other loggers, and journals kept elsewhere."""

from pathlib import Path

import click

from cavewatch.core.errors import CavewatchError

_FILE = click.Path(path_type=Path, exists=True, dir_okay=False)
_by = click.option("--by", help="Initials; otherwise those of the config.")
_yes = click.option("--yes", is_flag=True, help="Do not ask whether the proposal is right.")


@click.group(name="import")
def import_() -> None:
    """Take in readings and entries from files, as often as you like: nothing doubles."""


@import_.command()
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=_FILE)
@click.option("--place", help="Where columns belong whose titles name no place.")
@click.option(
    "--column",
    "columns",
    multiple=True,
    metavar="'TITLE = CHANNEL'",
    help="What a column is: 'T1 = lower cave.temperature [degF]'; may be given several times.",
)
@click.option("--delimiter", help="The sign between columns, or 'tab'.")
@click.option("--header-line", type=click.IntRange(1, 1000), help="On which line the titles stand.")
@click.option(
    "--time-column", "time_columns", multiple=True, help="Columns that make the time, in order."
)
@click.option("--time-format", help="Such as '%d/%m/%Y %H:%M'; 'iso', 'ms' since 1970.")
@click.option("--zone", help="Of times without an offset; otherwise the dairy's.")
@_by
@_yes
@click.pass_obj
def readings(
    config_path: Path | None,
    files: tuple[Path, ...],
    place: str | None,
    columns: tuple[str, ...],
    delimiter: str | None,
    header_line: int | None,
    time_columns: tuple[str, ...],
    time_format: str | None,
    zone: str | None,
    by: str | None,
    yes: bool,
) -> None:
    """Take in the readings of any logger's CSV files.

    How a file would be read is guessed and shown; you confirm it. Readings that are there
    already stay as they are, so the same file can be given again after more was added to it.
    An entry in the journal says what was imported from where.
    """
    from cavewatch.cli.importing.proposal import Wanted  # noqa: PLC0415
    from cavewatch.cli.importing.readings import import_readings, stated  # noqa: PLC0415

    said = stated(delimiter, header_line, time_columns, time_format, zone)
    wanted = Wanted(said, place, dict(map(_column, columns)))
    import_readings(config_path, files, wanted, by, yes)


@import_.command()
@click.argument("file", type=_FILE)
@_by
@_yes
@click.pass_obj
def journal(config_path: Path | None, file: Path, by: str | None, yes: bool) -> None:
    """Take in a journal: one that was exported, or a list of your own.

    A CSV file has a line of titles: 'at' (2026-03-01 16:30, in the dairy's zone where no
    offset is given), 'by' (initials), 'kind' (made, turned, salted, ...) and what that kind
    needs, each in a column that is called as in an export: wheels, weight_g, grams_g, ...
    """
    from cavewatch.cli.importing.journal import import_journal  # noqa: PLC0415

    import_journal(config_path, file, by, yes)


def _column(text: str) -> tuple[str, str]:
    """Title and channel."""
    title, sign, channel = text.rpartition("=")
    if not sign or not title.strip() or not channel.strip():
        raise CavewatchError(
            f"--column '{text}' names no column; write 'TITLE = lower cave.temperature [degF]'"
        )
    return title.strip(), channel.strip()
