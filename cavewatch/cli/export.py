"""`cavewatch export`: what is kept, given away as files, while the recording goes on."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from cavewatch import clock
from cavewatch.cli.exporting import alarms as alarm_table
from cavewatch.cli.exporting import journal as journal_table
from cavewatch.cli.exporting import makes as make_table
from cavewatch.cli.exporting import readings as reading_table
from cavewatch.cli.exporting.facts import Facts
from cavewatch.cli.exporting.files import Format, progress, whole, write_table
from cavewatch.cli.exporting.readings import Every
from cavewatch.cli.exporting.selection import Selection
from cavewatch.cli.live import Live, config_of
from cavewatch.core.errors import CavewatchError
from cavewatch.reports import Page, html
from cavewatch.store import journal_file
from cavewatch.store.backup import back_up
from cavewatch.store.spans import recorded, thinned_until, unsure

Command = Callable[..., Any]


@click.group(invoke_without_command=True)
@click.option(
    "--store",
    "store_to",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="A whole copy of the store, as it is at this moment.",
)
@click.pass_context
def export(ctx: click.Context, store_to: Path | None) -> None:
    """Give away what is kept, as a new file.

    A copy of the store can be put in the store's place when no recorder is running, or be
    looked at through a config whose [store] path names it.
    """
    if ctx.invoked_subcommand is not None:
        if store_to is not None:
            raise CavewatchError("a copy of the store is an export of its own: --store alone")
        return
    if store_to is None:
        raise CavewatchError(
            "say what to export: readings, journal, alarms, makes, week, wheel, or "
            "cavewatch export --store FILE"
        )
    config = config_of(ctx.obj)
    back_up(config.store_path, store_to, progress("copied"))
    click.echo(f"{store_to}: {store_to.stat().st_size / 1e6:,.1f} MB, checked and sound")


_out = click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    required=True,
    help="A new file.",
)


def _table(command: Command) -> Command:
    """The options that every table has."""
    for option in (
        _out,
        click.option(
            "--format",
            "form",
            type=click.Choice([each.value for each in Format]),
            default=Format.CSV.value,
            show_default=True,
            help="CSV (RFC 4180) or JSON lines.",
        ),
        click.option("--place", "places", multiple=True, help="Only this place; repeatable."),
        click.option("--to", "until", metavar="TIME", help="Before this time."),
        click.option("--from", "since", metavar="TIME", help="From this time on: '2026-03-02'."),
    ):
        command = option(command)
    return command


@export.command()
@_table
@click.option(
    "--every",
    type=click.Choice([each.value for each in Every]),
    default=Every.READING.value,
    show_default=True,
    help="Single readings, or mean, lowest and highest of each minute or hour.",
)
@click.pass_obj
def readings(
    config_path: Path | None,
    since: str | None,
    until: str | None,
    places: tuple[str, ...],
    form: str,
    out: Path,
    every: str,
) -> None:
    """Readings by time and place, as they were sent and as corrected by sensor checks."""

    def write(facts: Facts) -> int:
        chosen = Selection.of(facts, since, until, places)
        kind, store = Every(every), facts.live.store
        span = recorded(store, kind.table) or (0.0, 0.0)
        begin, end = max(chosen.since, span[0]), min(chosen.until, span[1] + 1.0)
        thinned = thinned_until(store)
        if kind is Every.READING and thinned is not None and chosen.since < thinned:
            click.echo(
                f"single readings from before {facts.iso(thinned)} are no longer kept; "
                "their minutes are: --every minute",
                err=True,
            )
        if count := unsure(store, begin, end):
            click.echo(f"{count} readings were noted before the clock was set", err=True)
        rows = reading_table.rows(
            store,
            [each for each in facts.channels if chosen.has(each.place)],
            facts.measured.records,
            begin,
            end,
            kind,
            facts.iso,
            facts.live.config.name,
            progress("written"),
        )
        with whole(out) as file:
            return write_table(file, reading_table.columns(kind), rows, Format(form))

    _export(config_path, out, write, "rows")


@export.command()
@_table
@click.pass_obj
def journal(
    config_path: Path | None,
    since: str | None,
    until: str | None,
    places: tuple[str, ...],
    form: str,
    out: Path,
) -> None:
    """Every entry, those that were corrected with who struck them and why.

    JSON lines make a journal file; 'cavewatch import journal' reads both.
    """

    def write(facts: Facts) -> int:
        chosen = Selection.of(facts, since, until, places)
        found = journal_table.chosen(facts.entries, chosen.entries(facts))
        with whole(out) as file:
            if Format(form) is Format.JSON_LINES:
                numbered = sorted((line.entry for line in found), key=lambda entry: entry.id)
                file.write(journal_file.dump(numbered))
                return len(numbered)
            name = facts.live.config.name
            rows = journal_table.rows(found, facts.display, facts.iso, name)
            return write_table(file, journal_table.COLUMNS, rows)

    _export(config_path, out, write, "entries")


@export.command()
@_table
@click.pass_obj
def alarms(
    config_path: Path | None,
    since: str | None,
    until: str | None,
    places: tuple[str, ...],
    form: str,
    out: Path,
) -> None:
    """Each time that an alarm was abnormal, who saw it and what was done about it."""

    def write(facts: Facts) -> int:
        chosen = Selection.of(facts, since, until, places)
        found = (
            each
            for each in facts.alarms()
            if chosen.meets(each.since, each.until) and chosen.alarm(each.alarm)
        )
        with whole(out) as file:
            rows = alarm_table.rows(found, facts.iso, facts.live.config.name)
            return write_table(file, alarm_table.COLUMNS, rows, Format(form))

    _export(config_path, out, write, "rows")


@export.command()
@_table
@click.pass_obj
def makes(
    config_path: Path | None,
    since: str | None,
    until: str | None,
    places: tuple[str, ...],
    form: str,
    out: Path,
) -> None:
    """Every wheel with its make: milk, pH, salting, weights, and what became of it.

    --from and --to choose by the time of making. 'cavewatch make sheet' shows all of one make.
    """

    def write(facts: Facts) -> int:
        chosen = Selection.of(facts, since, until, places)
        rows = make_table.rows(
            facts.live.store,
            facts.entries,
            facts.live.config.styles,
            facts.places,
            facts.newest,
            lambda wheel: (
                chosen.since <= wheel.made_at < chosen.until
                and any(chosen.has(stay.place) for stay in wheel.stays)
            ),
            facts.iso,
            facts.live.config.name,
            progress("written"),
        )
        with whole(out) as file:
            return write_table(file, make_table.COLUMNS, rows, Format(form))

    _export(config_path, out, write, "wheels")


@export.command()
@click.option("--from", "since", metavar="DATE", required=True, help="Its first day.")
@_out
@click.pass_obj
def week(config_path: Path | None, since: str, out: Path) -> None:
    """The report of a week as one HTML file, for a browser or paper."""
    from cavewatch.cli.exporting.week import week as drawn_up  # noqa: PLC0415

    _report(config_path, out, lambda facts: drawn_up(facts, _instant(facts, since)))


@export.command()
@click.argument("number", metavar="WHEEL", type=int)
@click.option("--to", "until", metavar="TIME", help="As of this time; else of all on record.")
@_out
@click.pass_obj
def wheel(config_path: Path | None, number: int, until: str | None, out: Path) -> None:
    """The report of a wheel as one HTML file, for a browser or paper."""
    from cavewatch.cli.exporting.wheel import wheel as drawn_up  # noqa: PLC0415

    _report(
        config_path,
        out,
        lambda facts: drawn_up(facts, number, _instant(facts, until) if until else None),
    )


def _instant(facts: Facts, text: str) -> float:
    return clock.instant(text, clock.now(), facts.zone)


def _report(config_path: Path | None, out: Path, drawn_up: Callable[[Facts], Page]) -> None:
    def write(facts: Facts) -> int:
        page = drawn_up(facts)
        with whole(out) as file:
            return file.write(html(page))

    _export(config_path, out, write, "characters")


def _export(
    config_path: Path | None, out: Path, write: Callable[[Facts], int], counted: str
) -> None:
    """Write the file, and say what is in it once it is there."""
    live = Live.opened(config_path)
    try:
        count = write(Facts.of(live))
    finally:
        live.store.close()
    click.echo(f"{out}: {count:,} {counted}")
