"""`cavewatch wheel`: enter what was done with wheels."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from cavewatch import clock, units
from cavewatch.cli.age import age
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.entering import chosen, enter, entry, on_wheels, place_named
from cavewatch.cli.label import label, weights
from cavewatch.cli.live import Live
from cavewatch.core import journal
from cavewatch.core.countdown import Span
from cavewatch.core.dairy import Dairy
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Act, Ending, Wash
from cavewatch.core.style import Method, Style
from cavewatch.core.text import clean
from cavewatch.core.wheel import fold, own_temperature
from cavewatch.units import Display

METHODS = [method.value for method in Method]


@click.group()
def wheel() -> None:
    """Enter what was done: new wheels, turned, washed, salted, lifted, moved and so on.

    WHEELS are numbers (14, 14-17); --make 14 means the whole make of wheel 14,
    --in 'brine tub' everything there.
    """


wheel.add_command(age)
wheel.add_command(label)
wheel.add_command(weights)


@wheel.command()
@click.argument("style")
@click.option("--weight", help="Of one wheel: '5 lb', '2.3 kg'; otherwise the style's usual one.")
@click.option("--count", default=1, show_default=True, type=click.IntRange(1, 500))
@click.option("--size", help="'7 in x 3 in', '20 x 10 x 8 cm', 'ball 12 cm'; otherwise as usual.")
@click.option("--place", required=True, help="Where they were put.")
@click.option(
    "--method",
    type=click.Choice(METHODS),
    help="Otherwise the style's usual one.",
)
@click.option("--salted-already", is_flag=True, help="Their salting was over before this.")
@click.option("--held-under", is_flag=True, help="In brine: held under rather than floating.")
@click.option("--temperature", help="Their own as they went in: '30 degC', '86 degF'.")
@click.option("--made", help="When the milk was made into cheese; otherwise the same time.")
@click.option("--renneted", help="When, for rules that count from it; otherwise as --made.")
@click.option("--moulded", help="When, for rules that count from it; otherwise as --made.")
@click.option("--lot", default="", help="Your own label for the make.")
@entry
@click.pass_obj
def new(
    config_path: Path | None,
    style: str,
    weight: str | None,
    count: int,
    size: str | None,
    place: str,
    method: str | None,
    salted_already: bool,
    held_under: bool,
    temperature: str | None,
    made: str | None,
    renneted: str | None,
    moulded: str | None,
    lot: str,
    at: str,
    by: str | None,
) -> None:
    """A new make: one or more wheels of a STYLE, put into brine, on a tray or into a cave."""

    room = ""

    def act(desk: StoreDesk, dairy: Dairy) -> Act:
        nonlocal room

        def when(text: str | None) -> float | None:
            return clock.instant(text, desk.now(), desk.zone) if text else None

        def ago(text: str | None) -> bool:
            return bool(text) and clock.is_relative(str(text))

        if style not in desk.styles:
            known = ", ".join(sorted(desk.styles))
            raise CavewatchError(f"there is no style {units.quoted(style)}; write one of {known}")
        found = desk.styles[style]
        first = desk.next_wheel()
        batch = journal.Made(
            wheels=tuple(range(first, first + count)),
            style=style,
            method=Method(method) if method else found.methods[0],
            weight=units.mass(weight) if weight else found.weight.value,
            place=place_named(desk, place),
            shape=units.shape(size) if size else None,
            salting_done=salted_already,
            made_at=when(made),
            floats=not held_under,
            lot=lot,
            renneted_at=when(renneted),
            moulded_at=when(moulded),
            made_ago=ago(made),
            renneted_ago=ago(renneted),
            moulded_ago=ago(moulded),
            temperature=own_temperature(units.temperature(temperature)) if temperature else None,
        )
        room = _room_left(batch, found, dairy, desk.display)
        return batch

    enter(config_path, act, at, by)
    if room:
        click.echo(room)


def _room_left(made: journal.Made, style: Style, dairy: Dairy, display: Display) -> str:
    """What their tub takes beside them; empty where that cannot be told."""
    life = next(view.life for view in dairy.places if view.place.name == made.place)
    room = None if life is None else life.room(style)
    brined = made.method is Method.BRINE and not made.salting_done
    if room is None or style.brine is None or not brined:
        return ""
    bound = f"{style.brine.strength.low:g} %"
    cheese = made.weight * len(made.wheels)
    low, left, high = (
        max(0.0, 1000.0 * each - cheese) for each in (room.low, room.expected, room.high)
    )
    if left <= 0:
        return (
            f"{made.place} falls below {bound} before these are done; what to add says "
            f"'cavewatch brine restore \"{made.place}\"'"
        )
    return (
        f"{made.place} takes about {display.about(Span(low, left, high))} more of this style "
        f"before it falls below {bound}"
    )


@wheel.command()
@on_wheels
@click.pass_obj
def turn(config_path: Path | None, /, at: str, by: str | None, **which: Any) -> None:
    """They were turned."""
    enter(config_path, lambda desk, dairy: journal.Turned(chosen(desk, dairy, **which)), at, by)


@wheel.command()
@on_wheels
@click.option(
    "--how",
    type=click.Choice([wash.value for wash in Wash]),
    default=Wash.WASH.value,
    show_default=True,
)
@click.pass_obj
def wash(config_path: Path | None, /, how: str, at: str, by: str | None, **which: Any) -> None:
    """Their rind was washed, rubbed, brushed, wiped, oiled or scraped."""
    enter(
        config_path,
        lambda desk, dairy: journal.Washed(chosen(desk, dairy, **which), Wash(how)),
        at,
        by,
    )


@wheel.command()
@on_wheels
@click.option("--grams", "salt", required=True, help="On each: '9 g', '0.5 oz'.")
@click.pass_obj
def salt(config_path: Path | None, /, salt: str, at: str, by: str | None, **which: Any) -> None:
    """Dry salt was put on: on the face that stands out of the brine, or as a coat."""
    enter(
        config_path,
        lambda desk, dairy: journal.Salted(chosen(desk, dairy, **which), units.mass(salt)),
        at,
        by,
    )


@wheel.command()
@on_wheels
@click.option("--to", metavar="PLACE", help="Where they went; otherwise they rest where they are.")
@click.pass_obj
def lift(
    config_path: Path | None, /, to: str | None, at: str, by: str | None, **which: Any
) -> None:
    """They were taken out of the brine or off the salting tray: salting is over."""
    enter(
        config_path,
        lambda desk, dairy: journal.Lifted(
            chosen(desk, dairy, **which), None if to is None else place_named(desk, to)
        ),
        at,
        by,
    )


@wheel.command()
@on_wheels
@click.option("--to", metavar="PLACE", required=True)
@click.pass_obj
def move(config_path: Path | None, /, to: str, at: str, by: str | None, **which: Any) -> None:
    """They were moved to another place."""
    enter(
        config_path,
        lambda desk, dairy: journal.Moved(chosen(desk, dairy, **which), place_named(desk, to)),
        at,
        by,
    )


@wheel.command()
@on_wheels
@click.option("--how", type=click.Choice([e.value for e in Ending]), required=True)
@click.option("--why", default="", help="For those discarded above all.")
@click.pass_obj
def end(
    config_path: Path | None, /, how: str, why: str, at: str, by: str | None, **which: Any
) -> None:
    """They left the dairy: sold, cut or discarded."""
    enter(
        config_path,
        lambda desk, dairy: journal.Ended(chosen(desk, dairy, **which), Ending(how), why),
        at,
        by,
    )


@wheel.command()
@click.argument("numbers", metavar="WHEELS...", nargs=-1, required=True)
@click.option("--salt", required=True, help="Found in the cheese as it was then: '1.9 %'.")
@click.option(
    "--error",
    default="0.1 %",
    show_default=True,
    help="Standard deviation of the assay.",
)
@entry
@click.pass_obj
def assay(
    config_path: Path | None,
    numbers: tuple[str, ...],
    salt: str,
    error: str,
    at: str,
    by: str | None,
) -> None:
    """Salt was found in WHEELS by an assay, ended ones too: countdowns learn from it.

    The sample goes from the rind to the middle; --at is when it was taken. Several wheels
    are one sample of them all.
    """

    def act(desk: StoreDesk, dairy: Dairy) -> Act:
        places = {place.name: place for place in desk.places}
        every, _ = fold(desk.entries(), desk.styles, places)
        named = chosen(desk, replace(dairy, wheels=every), numbers, None, None)
        found, off = units.part(salt, 15.0), units.part(error, 5.0)
        if found <= 0 or off <= 0:
            raise CavewatchError("salt and error of an assay are above 0 %; write them like 1.9 %")
        return journal.Assayed(named, found, off)

    enter(config_path, act, at, by)


@wheel.command()
@on_wheels
@click.option("--weight", required=True, help="Of each now: '2.31 kg', '5 lb'.")
@click.pass_obj
def weigh(config_path: Path | None, /, weight: str, at: str, by: str | None, **which: Any) -> None:
    """They were weighed after salting: countdowns learn from it, but less than from an assay."""
    enter(
        config_path,
        lambda desk, dairy: journal.Weighed(chosen(desk, dairy, **which), units.mass(weight)),
        at,
        by,
    )


@wheel.command()
@click.argument("text")
@on_wheels
@click.pass_obj
def note(config_path: Path | None, /, text: str, at: str, by: str | None, **which: Any) -> None:
    """A note, on some wheels or on none."""
    some = which["numbers"] or which["make"] is not None or which["inside"]

    def act(desk: StoreDesk, dairy: Dairy) -> Act:
        return journal.Noted(text, chosen(desk, dairy, **which) if some else ())

    enter(config_path, act, at, by)


@wheel.command()
@click.argument("number", metavar="ENTRY", type=int)
@click.option("--why", default="")
@entry
@click.pass_obj
def void(config_path: Path | None, number: int, why: str, at: str, by: str | None) -> None:
    """An earlier ENTRY was a mistake and does not count; it stays in the journal."""

    def act(desk: StoreDesk, _: Dairy) -> Act:
        if number not in {known.id for known in desk.entries()}:
            raise CavewatchError(f"there is no entry {number}")
        return journal.Voided(number, why)

    enter(config_path, act, at, by)


@wheel.command("list")
@click.pass_obj
def list_(config_path: Path | None) -> None:
    """All wheels that have not ended."""
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        for number, found in sorted(desk.picture().wheels.items()):
            since = clock.moment(found.since, desk.now(), desk.zone)
            words = (
                f"{number:>5}  {found.style.name}, {desk.display.mass(found.weight)}, "
                f"{found.standing}, {found.place} since {since}  {found.lot}"
            )
            click.echo(clean(words, 200).rstrip())
    finally:
        live.store.close()
