"""`cavewatch wheel age`: the stage that a wheel is in, and how old it is by each rule."""

from collections.abc import Iterator
from pathlib import Path

import click

from cavewatch import clock
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.live import Live
from cavewatch.cli.making.facts import airs
from cavewatch.core.errors import CavewatchError
from cavewatch.core.record import Air, counted
from cavewatch.core.stages import staged
from cavewatch.core.style import MinimumAge
from cavewatch.core.text import clean
from cavewatch.core.wheel import Wheel
from cavewatch.screens.making.words import not_counted
from cavewatch.store import Store


@click.command()
@click.argument("number", metavar="WHEEL", type=int)
@click.pass_obj
def age(config_path: Path | None, number: int) -> None:
    """The stage that a WHEEL is in, and how old it is by the rules of its style.

    Where a rule wants warmth, only time counts of which the temperature is on record.
    An age that is reached is a rule kept, never a proof that a cheese is fit to be eaten.
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
            click.echo(clean(line, 400))
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
    known = tuple(airs(store, wheel, store.entries(), now))
    for rule in wheel.style.ages:
        yield _rule(rule, wheel, known, desk)


def _rule(rule: MinimumAge, wheel: Wheel, known: tuple[Air, ...], desk: StoreDesk) -> str:
    now = desk.now()
    by = counted(rule, wheel, now, known)
    words = f"{rule.rule}: {rule.days:g} days from {rule.start}"
    if by.reached_at is None:
        return f"{words}; its clock has not started; {rule.source}"
    words += f", {max(0.0, by.days):.1f} so far"
    if left_out := not_counted(by):
        words += f" (not counted: {left_out})"
    verb = "reached" if by.reached_at <= now else "to be reached"
    words += f", {verb} {clock.moment(by.reached_at, now, desk.zone)}"
    if by.stored_too_long:
        words += f"; it was longer in a store than the {rule.storage:g} h allowed"
    return f"{words}; {rule.source}"
