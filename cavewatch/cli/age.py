"""`cavewatch wheel age`: the stage that a wheel is in, and how old it is by each rule."""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

import click

from cavewatch import clock
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.live import Live
from cavewatch.core.errors import CavewatchError
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.stages import HOUR, Air, counted, staged
from cavewatch.core.style import MinimumAge
from cavewatch.core.text import clean
from cavewatch.core.wheel import Wheel
from cavewatch.store import Store

HOURLY: Final = 3600


@click.command()
@click.argument("number", metavar="WHEEL", type=int)
@click.pass_obj
def age(config_path: Path | None, number: int) -> None:
    """The stage that a WHEEL is in, and how old it is by the rules of its style.

    Time too cold for a rule is known only where a temperature was recorded; an
    age that is reached is a rule kept, never a proof that a cheese is safe.
    """
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        wheel = desk.picture().wheels.get(number)
        if wheel is None:
            raise CavewatchError(
                f"there is no wheel {number}; 'cavewatch wheel list' shows all that have not ended"
            )
        for line in _lines(wheel, desk, live.store):
            click.echo(clean(line, 200))
    finally:
        live.store.close()


def _lines(wheel: Wheel, desk: StoreDesk, store: Store) -> Iterator[str]:
    now = desk.now()
    made = clock.moment(wheel.made_at, now, desk.zone)
    yield f"wheel {wheel.id}: {wheel.style.name}, made {made}, {wheel.standing}, {wheel.place}"
    found = staged(wheel, now)
    if found is not None:
        until = (
            "" if found.until is None else f", until {clock.moment(found.until, now, desk.zone)}"
        )
        yield f"{found.stage.name}{until}: {found.stage.care}".removesuffix(": ")
    airs = _airs(wheel, store, now)
    for rule in wheel.style.ages:
        yield _rule(rule, wheel, airs, desk)


def _rule(rule: MinimumAge, wheel: Wheel, airs: list[Air], desk: StoreDesk) -> str:
    now = desk.now()
    by = counted(rule, wheel, now, airs)
    words = f"{rule.rule}: {rule.days:g} days from {rule.start}"
    if by.reached_at is None:
        return f"{words}; its clock has not started; {rule.source}"
    words += f", {max(0.0, by.days):.1f} so far"
    if by.left_out > 0:
        words += f" ({by.left_out:.1f} days do not count)"
    verb = "reached" if by.reached_at <= now else "to be reached"
    words += f", {verb} {clock.moment(by.reached_at, now, desk.zone)}"
    if by.stored_too_long:
        words += f"; it was longer in a store than the {rule.storage:g} h allowed"
    return f"{words}; {rule.source}"


def _airs(wheel: Wheel, store: Store, now: float) -> list[Air]:
    """The recorded hours of the places where the wheel was."""
    places = dict.fromkeys(stay.place for stay in wheel.stays)
    return [
        Air(place, hour.at, hour.at + HOUR, hour.low)
        for place in places
        for hour in store.bins(Channel(place, Quantity.TEMPERATURE), HOURLY, wheel.stays[0].at, now)
    ]
