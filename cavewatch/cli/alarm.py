"""`cavewatch alarm`: the alarms as they stand, and what a maker does with them."""

import math
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import click

from cavewatch import clock, units
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.entering import enter, entry, place_named
from cavewatch.cli.live import Live
from cavewatch.core import journal
from cavewatch.core.alarms import answers
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.alarms.limits import Side
from cavewatch.core.alarms.suppression import Suppression, suppressions
from cavewatch.core.dairy import Dairy
from cavewatch.core.errors import CavewatchError
from cavewatch.core.record import Occurrence
from cavewatch.core.text import clean
from cavewatch.screens.making.words import Sayer, alarm_words
from cavewatch.screens.wording import action_words

KINDS = (
    *Side,
    "drift low",
    "drift high",
    "low forecast",
    "high forecast",
    "rate",
    "clash",
    "silent",
    "unwatched",
    "tested",
    "check due",
)
"""What a channel may have an alarm about; its name stands before."""

Command = Callable[..., Any]


@click.group()
def alarm() -> None:
    """See alarms; acknowledge, shelve, suppress, take out of service, reset, close them.

    ALARM is its name in 'cavewatch alarm list', or a part that only one has.
    """


def _named(command: Command) -> Command:
    """Which alarm, and by whom."""
    command = click.option("--by", help="Initials; otherwise those of the config.")(command)
    return click.argument("name", metavar="ALARM")(command)


@alarm.command("list")
@click.pass_obj
def list_(config_path: Path | None) -> None:
    """All alarms that stand, wait or are suppressed, the most urgent first."""
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        dairy = desk.picture()
        came = desk.occurrences() if dairy.alarms else ()
        for found in dairy.alarms:
            words = f"{found.state:<13}  {found.priority:<6}  {_when(found, desk)}"
            click.echo(clean(f"{words}  {found.key}: {found.explanation.what}", 300))
            for action in _actions(desk, found, came):
                click.echo(clean(f"    {action}", 400))
        silenced = _silenced(desk, dairy)
        if not dairy.alarms and not silenced:
            click.echo("no alarm stands, and none is suppressed")
        for name, held in silenced:
            end = "" if held.until == math.inf else f" until {_moment(held.until, desk)}"
            why = f": {held.why}" if held.why else ""
            click.echo(clean(f"{held.state:<13}  {name}{end}{why} ({held.by})", 300))
    finally:
        live.store.close()


@alarm.command()
@_named
@click.pass_obj
def acknowledge(config_path: Path | None, name: str, by: str | None) -> None:
    """Somebody has seen it."""
    _answer(config_path, by, lambda _, dairy: answers.acknowledge(_standing(dairy, name)))


@alarm.command()
@_named
@click.option("--for", "lasting", default="2 h", show_default=True, help="At most 24 h.")
@click.option("--why", default="")
@click.pass_obj
def shelve(config_path: Path | None, name: str, lasting: str, why: str, by: str | None) -> None:
    """Set it aside for a time; it is still watched, and comes back by itself."""
    seconds = units.duration(lasting)
    _answer(
        config_path,
        by,
        lambda desk, dairy: answers.shelve(_known(desk, dairy, name), desk.now(), seconds, why),
    )


@alarm.command()
@_named
@click.pass_obj
def unshelve(config_path: Path | None, name: str, by: str | None) -> None:
    """Take it back before its time."""
    _answer(config_path, by, lambda desk, _: journal.Unshelved(_held(desk, name, False)))


@alarm.command()
@click.argument("place")
@click.option("--for", "lasting", default="30 min", show_default=True, help="At most 8 h.")
@click.option("--over", is_flag=True, help="It is over now.")
@click.option("--why", default="")
@click.option("--by", help="Initials; otherwise those of the config.")
@click.pass_obj
def suspend(
    config_path: Path | None, place: str, lasting: str, over: bool, why: str, by: str | None
) -> None:
    """A place does not count for a time: its door is open for cleaning, say. It ends by itself.

    Its temperature and humidity alarms are suppressed; a sensor that falls silent is told.
    """
    seconds = 0.0 if over else units.duration(lasting)
    _answer(
        config_path,
        by,
        lambda desk, _: answers.suppress(place_named(desk, place), desk.now(), seconds, why),
    )


@alarm.command()
@_named
@click.option("--why", required=True, help="A reason; it stays in the record.")
@click.pass_obj
def out(config_path: Path | None, name: str, why: str, by: str | None) -> None:
    """Take it out of service until it is put back."""
    _answer(config_path, by, lambda desk, dairy: answers.take_out(_known(desk, dairy, name), why))


@alarm.command()
@_named
@click.pass_obj
def back(config_path: Path | None, name: str, by: str | None) -> None:
    """Put it back into service."""
    _answer(config_path, by, lambda desk, _: journal.BackInService(_held(desk, name, True)))


@alarm.command()
@_named
@click.pass_obj
def reset(config_path: Path | None, name: str, by: str | None) -> None:
    """Let go one that is latched: held after its cause went."""
    _answer(config_path, by, lambda _, dairy: answers.reset(_standing(dairy, name)))


@alarm.command()
@click.argument("name", metavar="ALARM")
@click.option(
    "--product", required=True, help="What was done with the product; 'nothing: ...' too."
)
@click.option("--cause", default="", help="What was done about the cause.")
@entry
@click.pass_obj
def close(
    config_path: Path | None, name: str, product: str, cause: str, at: str, by: str | None
) -> None:
    """Enter its corrective action; --at is when that was done.

    It is for the last time that the alarm had come by then. An alarm whose cause is still there
    stands on.
    """
    told = ""

    def act(desk: StoreDesk, dairy: Dairy) -> journal.Act:
        nonlocal told
        when = clock.instant(at, desk.now(), desk.zone)
        if not product.strip():
            raise CavewatchError("say what was done with the product, or 'nothing' and why")
        came = desk.occurrences()
        key = _one(name, dict.fromkeys(each.alarm.key for each in came))
        last = [each for each in came if each.alarm.key == key and each.since <= when]
        if not last:
            raise CavewatchError(f"'{key}' had not come by then; --at is when something was done")
        if last[-1].until is None:
            told = f"'{key}' stands on: its cause is still there"
        elif any(alarm.key == key for alarm in dairy.alarms):
            told = f"'{key}' still waits: acknowledge or reset it as well"
        return journal.Corrected(key, product.strip(), cause.strip())

    enter(config_path, act, at, by)
    if told:
        click.echo(told)


@alarm.command()
@click.option("--for", "lasting", default="7 d", show_default=True, help="How far back.")
@click.option("--open", "unclosed", is_flag=True, help="Only those without a corrective action.")
@click.pass_obj
def past(config_path: Path | None, lasting: str, unclosed: bool) -> None:
    """Each time that an alarm came, who saw it, and what was done about it."""
    seconds = units.duration(lasting)
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        found = _since(desk, desk.now() - seconds, unclosed)
        for each in found:
            for line in alarm_words(each, Sayer(desk.zone, desk.display)):
                click.echo(clean(line, 400))
        if not found:
            click.echo("no alarm came in that time" + (" without an action" if unclosed else ""))
    finally:
        live.store.close()


def _actions(desk: StoreDesk, alarm: Alarm, came: Iterable[Occurrence]) -> Iterator[str]:
    """What was done about an alarm this time."""
    times = [each for each in came if each.alarm.key == alarm.key]
    for kept in times[-1].actions if times else ():
        assert isinstance(kept.act, journal.Corrected)
        yield f"{_moment(kept.at, desk)} {action_words(kept.act)} ({kept.by})"


def _since(desk: StoreDesk, begin: float, unclosed: bool) -> list[Occurrence]:
    """The times that alarms came which were not over by then."""
    return [
        each
        for each in desk.occurrences()
        if (each.until is None or each.until >= begin) and not (unclosed and each.actions)
    ]


def _answer(
    config_path: Path | None, by: str | None, act: Callable[[StoreDesk, Dairy], journal.Act]
) -> None:
    enter(config_path, act, "now", by)


def _standing(dairy: Dairy, name: str) -> Alarm:
    """The alarm that is meant, of those that are not normal."""
    known = {alarm.key: alarm for alarm in dairy.alarms}
    return known[_one(name, known)]


def _known(desk: StoreDesk, dairy: Dairy, name: str) -> str:
    """The key that is meant, of alarms that stand and of those that every channel may have."""
    standing = [alarm.key for alarm in dairy.alarms]
    channels = [view.channel for place in dairy.places for view in place.channels]
    may_be = [f"{channel} {kind}" for channel in channels for kind in KINDS]
    held = [key for key, _ in _silenced(desk, dairy)]
    return _one(name, dict.fromkeys([*standing, *may_be, *held]))


def _held(desk: StoreDesk, name: str, out: bool) -> str:
    """The key that is meant, of those out of service or else of those on the shelf."""
    known, now = suppressions(journal.standing(desk.entries())), desk.now()
    held = known.out if out else known.shelved
    names = {key: found for key, found in held.items() if found.until > now}
    if not names:
        raise CavewatchError(f"no alarm is {'out of service' if out else 'shelved'}")
    return _one(name, names)


def _silenced(desk: StoreDesk, dairy: Dairy) -> list[tuple[str, Suppression]]:
    """Suppressions in force that no alarm in the list shows, by alarm or place."""
    known, now = suppressions(journal.standing(desk.entries())), desk.now()
    shown = {alarm.key for alarm in dairy.alarms}
    every = [*known.out.items(), *known.shelved.items(), *known.places.items()]
    return [(name, held) for name, held in every if held.until > now and name not in shown]


def _one(name: str, known: Any) -> str:
    """The only key that is, or that holds, what was typed."""
    typed = name.strip().casefold()
    exact = [key for key in known if key.casefold() == typed]
    found = exact or [key for key in known if typed and typed in key.casefold()]
    if len(found) == 1:
        return str(found[0])
    if found:
        some = ", ".join(f"'{key}'" for key in found[:4])
        raise CavewatchError(f"{units.quoted(name)} may be {some}; write more of it")
    raise CavewatchError(
        f"there is no alarm {units.quoted(name)}; 'cavewatch alarm list' shows all"
    )


def _when(alarm: Alarm, desk: StoreDesk) -> str:
    if alarm.until is not None:
        return f"until {_moment(alarm.until, desk)}"
    return f"since {_moment(alarm.since, desk)}"


def _moment(at: float, desk: StoreDesk) -> str:
    return clock.moment(at, desk.now(), desk.zone)
