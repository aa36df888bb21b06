"""`cavewatch sensor`: how far each sensor can be trusted, and checks that tell."""

import json
import threading
from collections.abc import Callable
from pathlib import Path

import click

from cavewatch import clock, units
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.entering import entry
from cavewatch.cli.live import Live
from cavewatch.core import journal
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Against
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.signal import checks
from cavewatch.core.signal.record import UNKNOWN, records
from cavewatch.core.signal.told import status_words, told, verdict
from cavewatch.core.text import clean

LOOK = 10.0
"""How often a check that waits looks at the readings [s]."""
TESTED_FOR = 2 * 3600.0
"""A check marks the sensor as tested for so long [s]."""
SALTS = {"table": Against.TABLE_SALT, "potassium": Against.POTASSIUM_CHLORIDE}
OTHER = {
    Against.TABLE_SALT: Against.POTASSIUM_CHLORIDE,
    Against.POTASSIUM_CHLORIDE: Against.TABLE_SALT,
}
"""The second point."""
JAR = 600.0
"""The jar's temperature is the mean of this last stretch [s]."""
SHOW = {
    checks.Wait.FEW: "waiting for readings",
    checks.Wait.SOON: "it needs more time in there",
    checks.Wait.UNSTEADY: "not steady yet",
}


@click.group()
def sensor() -> None:
    """Trust in sensors: list them, check them over wet salt or in ice, mark them as tested.

    CHANNEL is PLACE.humidity or PLACE.temperature. While a sensor is being tested,
    its place is not watched, and an alarm says so if it lasts.
    """


@sensor.command(name="list")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
@click.pass_obj
def list_(config_path: Path | None, as_json: bool) -> None:
    """Every channel: what it reads, how it stands, when it was checked."""
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        views = [view for place in desk.picture().places for view in place.channels]
        found = {str(view.channel): view for view in views}
        if as_json:
            plain = [
                {
                    "channel": name,
                    "value": None if view.reading is None else view.reading.value,
                    "status": None if view.reading is None else view.reading.status,
                    "silent": view.silent,
                    "being_tested": view.record.tested_at(desk.now()),
                    "checks": [
                        {"at": clock.iso(check.at, desk.zone), **journal.to_plain(check.found)}
                        for check in view.record.checks
                    ],
                }
                for name, view in found.items()
            ]
            click.echo(json.dumps(plain, indent=2))
            return
        for name, view in found.items():
            reading = view.reading
            value = "no value"
            if reading is not None and reading.value is not None:
                value = _value(desk, view.channel.quantity)(reading.value)
            state = status_words(reading, view.silent)
            words = told(view.record, desk.now(), difference(desk, view.channel.quantity))
            click.echo(clean(f"{name}: {value}, {state}; {words}", 300))
    finally:
        live.store.close()


@sensor.command()
@click.argument("names", metavar="CHANNEL...", nargs=-1, required=True)
@click.option("--for", "lasting", help="'10 min', '2 h'; it ends by itself.")
@click.option("--done", is_flag=True, help="The sensor is back in its place.")
@entry
@click.pass_obj
def testing(
    config_path: Path | None,
    names: tuple[str, ...],
    lasting: str | None,
    done: bool,
    at: str,
    by: str | None,
) -> None:
    """The sensor is in your hands: what it says is not the cave's for so long."""
    if done is (lasting is not None):
        raise CavewatchError("write either --for, such as --for '10 min', or --done")
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        when = clock.instant(at, desk.now(), desk.zone)
        until = when if lasting is None else when + units.duration(lasting)
        end = clock.moment(until, desk.now(), desk.zone)
        for name in [str(_channel(live, each)) for each in names]:
            testing, typed = journal.Testing(name, until), not clock.is_relative(at)
            desk.append(testing, when, _initials(desk, by), typed=typed)
            click.echo(f"{name} is back in its place" if done else f"{name} is tested until {end}")
    finally:
        live.store.close()


@sensor.group()
def check() -> None:
    """Hold a sensor against something known; it is corrected by what is found."""


def _waiting(command: Callable[..., None]) -> Callable[..., None]:
    command = click.option("--by", help="Initials; otherwise those of the config.")(command)
    command = click.option("--once", is_flag=True, help="Look once; do not wait.")(command)
    return click.option(
        "--since",
        default="now",
        show_default=True,
        help="When it was put there, if that was earlier: '30 min ago'.",
    )(command)


@check.command()
@click.argument("channel")
@click.option("--salt", "name", type=click.Choice([*SALTS]), default="table", show_default=True)
@click.option("--temperature", help="Of the jar: '12 degC'; otherwise as the place's sensor says.")
@_waiting
@click.pass_obj
def salt(
    config_path: Path | None,
    channel: str,
    name: str,
    temperature: str | None,
    since: str,
    once: bool,
    by: str | None,
) -> None:
    """A humidity sensor in a closed jar over wet salt.

    Stir salt with so little water that it stays a slush, 3 mm deep in a jar that
    closes tightly; hang the sensor above it, touching nothing; leave the jar where
    the temperature is steady. A small sensor needs 20 min, a bulky one 1 h. Over
    table salt (sodium chloride) the air is near 75 %, over potassium chloride near
    86 %. One point shows no error of slope: check over the other salt as well.
    """
    jar = None if temperature is None else units.temperature(temperature)
    _check(config_path, channel, SALTS[name], Quantity.HUMIDITY, jar, since, once, by)


@check.command()
@click.argument("channel")
@_waiting
@click.pass_obj
def ice(config_path: Path | None, channel: str, since: str, once: bool, by: str | None) -> None:
    """A temperature probe in melting ice.

    Fill a cup with crushed ice, top up with cold clean water without salt, stir, and
    hold a waterproof probe in the middle of it.
    """
    _check(config_path, channel, Against.ICE, Quantity.TEMPERATURE, None, since, once, by)


def _check(
    config_path: Path | None,
    name: str,
    against: Against,
    quantity: Quantity,
    jar: float | None,
    since: str,
    once: bool,
    by: str | None,
) -> None:
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        channel = _channel(live, name)
        if channel.quantity is not quantity:
            raise CavewatchError(
                f"'{channel}' measures {channel.quantity}; write PLACE.{quantity} here"
            )
        if not once and live.lock.holder() is None:
            raise CavewatchError(
                "no recorder is running, so no reading will come: start 'cavewatch record'"
            )
        since_when = clock.instant(since, desk.now(), desk.zone)
        inside = [channel]
        beside = Channel(channel.place, Quantity.TEMPERATURE)
        if against is not Against.ICE and jar is None and beside in live.config.channels:
            inside.append(beside)
        typed = not clock.is_relative(since)
        begun, *_ = [_begun(desk, each, since_when, by, typed=typed) for each in inside]
        show, said = _value(desk, quantity), ""
        while True:
            now = desk.now()
            found = checks.settling(
                live.store.readings(channel, begun, now + 1.0), against, begun, now
            )
            if found.wait is None:
                break
            shown = "" if found.mean is None else f"{show(found.mean)}; "
            text = f"{clock.duration(now - begun)}: {shown}{SHOW[found.wait]}"
            if text != said:
                click.echo(text)
                said = text
            if once:
                return
            threading.Event().wait(LOOK)
        if against is not Against.ICE and jar is None:
            jar = _jar(live, channel, now)
        _enter(desk, channel, against, found, jar, by)
        names = " ".join(f"'{each}'" for each in inside)
        click.echo(
            "it counts as tested until its time is over; once it is back: "
            f"cavewatch sensor testing {names} --done"
        )
    finally:
        live.store.close()


def _begun(
    desk: StoreDesk, channel: Channel, since: float, by: str | None, *, typed: bool
) -> float:
    """When the sensor was put there; it is marked as tested unless it is so already."""
    now = desk.now()
    tests = records(desk.entries()).get(channel, UNKNOWN).tests
    if tests and tests[-1][0] <= now < tests[-1][1]:
        return min(tests[-1][0], since)
    testing = journal.Testing(str(channel), now + TESTED_FOR)
    desk.append(testing, since, _initials(desk, by), typed=typed)
    return since


def _jar(live: Live, channel: Channel, now: float) -> float:
    """The jar's temperature as the place's own sensor shows it, which is then in the jar too."""
    beside = Channel(channel.place, Quantity.TEMPERATURE)
    record = records(live.store.entries()).get(beside, UNKNOWN)
    lately = live.store.readings(beside, now - JAR, now + 1.0)
    values = [value for each in lately if (value := record.corrected(each).value) is not None]
    if not values:
        raise CavewatchError(
            f"nothing is known of the jar's temperature, as '{beside}' gives none; write it: "
            "--temperature '12 degC'"
        )
    return sum(values) / len(values)


def _enter(
    desk: StoreDesk,
    channel: Channel,
    against: Against,
    found: checks.Settling,
    jar: float | None,
    by: str | None,
) -> None:
    """Keep what was found, and say it."""
    quantity = channel.quantity
    show, apart = _value(desk, quantity), difference(desk, quantity)
    wanted = checks.known(against, jar or 0.0)
    if found.mean is not None and checks.astray(channel, found.mean, wanted):
        raise CavewatchError(
            f"{channel} shows {show(found.mean)} where {show(wanted.value)} is meant: that is too "
            f"far off for a check against {against}; see that the sensor hangs where it should"
        )
    made = checks.checked(channel, against, found, jar)
    kept = desk.append(made, desk.now(), _initials(desk, by))
    at_jar = "" if jar is None else f" at {desk.display.temperature(jar)}"
    click.echo(
        f"{channel}: shows {show(made.shown)}; {against}{at_jar} gives {show(wanted.value)} "
        f"± {apart(wanted.error)}"
    )
    click.echo(f"entry {kept.id}: {verdict(made, apart)}")
    other = OTHER.get(against)
    if other is not None:
        near = show(checks.known(other, jar or 0.0).value)
        word = next(word for word, salt in SALTS.items() if salt is other)
        click.echo(
            f"one point shows no error of slope; a second one over {other} (near {near}) does: "
            f"cavewatch sensor check salt '{channel}' --salt {word}"
        )


def _channel(live: Live, text: str) -> Channel:
    """The configured channel of this name, whatever its capitals."""
    for channel in live.config.channels:
        if str(channel).casefold() == text.casefold():
            return channel
    known = ", ".join(f"'{channel}'" for channel in live.config.channels)
    raise CavewatchError(
        f"no sensor feeds a channel {units.quoted(text)}; "
        + (f"write one of {known}" if known else "the config has no [[sensor]]")
    )


def _initials(desk: StoreDesk, by: str | None) -> str:
    return desk.initials if by is None else by


def _value(desk: StoreDesk, quantity: Quantity) -> Callable[[float], str]:
    if quantity is Quantity.TEMPERATURE:
        return desk.display.temperature
    return lambda value: f"{value:.1f} %"


def difference(desk: StoreDesk, quantity: Quantity) -> Callable[[float], str]:
    """A difference of values in the maker's units."""
    if quantity is Quantity.TEMPERATURE:
        return desk.display.temperature_difference
    return lambda value: f"{value:.1f} %"
