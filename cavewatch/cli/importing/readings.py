"""`cavewatch import readings`: propose, ask, take in, tell."""

import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import click

from cavewatch import clock
from cavewatch.cli.importing import own
from cavewatch.cli.importing.proposal import Wanted, propose
from cavewatch.cli.importing.taking import ReadingsFile, Taken, take
from cavewatch.cli.live import Live, config_of
from cavewatch.config import Config
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Noted
from cavewatch.core.signal.record import UNKNOWN, records
from sensors.faults import shown
from sensors.foreign import Stated
from sensors.log import LogFile


def import_readings(
    config_path: Path | None, paths: Sequence[Path], wanted: Wanted, by: str | None, sure: bool
) -> None:
    """Show how the files would be read, and read them if that is right.

    Raises:
        CavewatchError: for files of which no sense can be made; nothing is read then.
    """
    config = config_of(config_path)
    files = [_opened(path, wanted, config) for path in paths]
    if not confirmed(sure):
        return
    live = Live.of(config)
    done: list[tuple[Path, Taken]] = []
    try:
        for path, file in zip(paths, files, strict=True):
            done.append((path, taken := Taken()))
            take(live.store, file, taken, clock.now(), _progress(path, file, taken))
            _told(path, file, taken, live)
    except KeyboardInterrupt:
        path, taken = done[-1]
        click.echo(
            f"{shown(path.name)}: stopped after {taken.new:,} new; what was written stays, and "
            "the same command goes on with the rest",
            err=True,
        )
        raise click.exceptions.Exit(130) from None
    finally:
        try:
            _note(live, done, by)
        finally:
            live.store.close()


def confirmed(sure: bool) -> bool:
    """Whether the maker agrees to what was shown.

    Raises:
        CavewatchError: where nobody can be asked.
    """
    if sure:
        return True
    if not sys.stdin.isatty():
        raise CavewatchError("nothing was imported; if this is right, say --yes")
    if click.confirm("Is this right?"):
        return True
    click.echo("nothing was imported")
    return False


def _opened(path: Path, wanted: Wanted, config: Config) -> ReadingsFile:
    """The file, ready to be read, after it was told how."""
    if own.is_own(path):
        click.echo(f"{shown(path.name)}: readings that Cavewatch exported")
        return own.OwnReadings(path, [place.name for place in config.places])
    found = propose(path, wanted, config)
    for line in found.lines:
        click.echo(line)
    return LogFile(path, found.settings)


def _progress(path: Path, file: ReadingsFile, taken: Taken) -> Callable[[], None]:
    """Says how far a file is, in one line of a terminal; elsewhere nothing."""
    if not sys.stderr.isatty():
        return lambda: None
    name = shown(path.name)
    return lambda: click.echo(
        f"\r{file.part:4.0%} of {name}, {taken.new:,} new", nl=False, err=True
    )


def _told(path: Path, file: ReadingsFile, taken: Taken, live: Live) -> None:
    """What became of a file."""
    if sys.stderr.isatty():
        click.echo(err=True)
    name = shown(path.name)
    click.echo(
        f"{name}: {taken.new:,} new, {taken.there:,} there already, {file.refused:,} refused"
    )
    if taken.other:
        click.echo(f"  {taken.other:,} where another value stands, which stays")
    if taken.late:
        days = live.config.keep_readings / 86_400.0
        click.echo(
            f"  {taken.late:,} not taken: single readings are kept for {days:.0f} days, and those "
            "of that time were rolled up already"
        )
    if file.left_out:
        click.echo(f"  {file.left_out:,} more rows left out that go back in time")
    for words in _corrected(taken, live):
        click.echo(f"  {words}")
    for fault in file.faults:
        click.echo(f"  {fault}")
    if file.refused > len(file.faults):
        click.echo(f"  and {file.refused - len(file.faults):,} more")


def _corrected(taken: Taken, live: Live) -> Iterator[str]:
    """Which readings a sensor check is taken to be about, though they may be another sensor's."""
    known = records(live.store.entries())
    for channel in sorted(taken.channels):
        began = [found.at for found in known.get(channel, UNKNOWN).calibrations]
        if taken.until is not None and began and min(began) <= taken.until:
            since = clock.iso(min(began), clock.zone(live.config.zone))
            yield (
                f"{channel} is corrected by sensor checks from {since} on, and these readings "
                "with it, whatever sensor they are from"
            )


def _note(live: Live, done: Sequence[tuple[Path, Taken]], by: str | None) -> None:
    """An entry for each file of which anything was stored: which readings came from where."""
    desk = live.desk()
    zone = clock.zone(live.config.zone)
    for path, taken in done:
        if not taken.new or taken.since is None or taken.until is None:
            continue
        channels = ", ".join(sorted(map(str, taken.channels)))
        text = (
            f"imported {taken.new} readings of {channels} from '{shown(path.name)}', "
            f"{clock.iso(taken.since, zone)} to {clock.iso(taken.until, zone)}"
        )
        desk.append(Noted(text), desk.now(), desk.initials if by is None else by)


def stated(
    delimiter: str | None,
    header_line: int | None,
    time_columns: tuple[str, ...],
    time_format: str | None,
    zone: str | None,
) -> Stated:
    """What options say of a file."""
    signs = {"tab": "\t", "space": " ", "\\t": "\t"}
    sign = None if delimiter is None else signs.get(delimiter, delimiter)
    if sign is not None and len(sign) != 1:
        raise CavewatchError(f"'{shown(sign)}' cannot part columns; write one sign, or 'tab'")
    form = "" if time_format == "iso" else time_format
    if form and form != "ms" and "%" not in form:
        raise CavewatchError(
            f"'{shown(form)}' is not a format for times; write such as '%d/%m/%Y %H:%M', "
            "'iso' or 'ms'"
        )
    if zone is not None:
        clock.zone(zone)
    return Stated(sign, header_line, time_columns, form, zone)
