"""`cavewatch brine restore`: what brings a used brine back to strength, before or after a batch."""

import json
from pathlib import Path

import click

from cavewatch import units
from cavewatch.cli.brine.acid import acid_wanted
from cavewatch.cli.brine.calcium import calcium_wanted
from cavewatch.cli.brine.restored import Restoring, plain, tell
from cavewatch.cli.brine.stated import TubStated, of_the_journal
from cavewatch.cli.brine.wording import display_for, rounded
from cavewatch.cli.live import config_of
from cavewatch.config import default_path
from cavewatch.core.brine.density import density
from cavewatch.core.brine.exchange import Exchange, exchange, water_per_salt
from cavewatch.core.brine.recovery import Recovery
from cavewatch.core.brine.restoring import Batch, Calcium, Timing, Tub
from cavewatch.core.countdown import Span
from cavewatch.core.errors import CavewatchError
from cavewatch.styles import load


@click.command()
@click.argument("tub", required=False)
@click.option("--volume", help="Of the brine in the tub: '60 L', '16 gal'.")
@click.option("--strength", help="It has now: '18.5 %', '18 Be'; of TUB otherwise as predicted.")
@click.option("--to", help="Wanted: '20 %', '2.25 lb/gal'; of TUB otherwise as in the config.")
@click.option("--temperature", help="Of the brine; otherwise that of TUB, or 12 degC.")
@click.option("--batch", help="All cheese that goes through: '12 kg', '26 lb'.")
@click.option("--salt-percent", help="In that cheese when it is lifted: '1.8 %'.")
@click.option("--style", "style_id", help="Of that cheese, instead of --salt-percent.")
@click.option(
    "--before/--after",
    "before",
    default=True,
    help="The batch goes in next, or it has gone through since the strength was known.",
)
@click.option("--face-salt", help="Dry salt on all floating faces of the batch together: '60 g'.")
@click.option("--hold", help="Most brine that the tub takes: '65 L'; the rest is drawn off first.")
@click.option("--calcium", help="Calcium chloride (CaCl2) wanted in the brine: '0.1 %'.")
@click.option("--calcium-as", help="'dihydrate', 'anhydrous' or '33 % solution', as on the packet.")
@click.option("--calcium-now", help="In it now: '0.05 %'; of TUB otherwise as last entered.")
@click.option("--acid", "sour", help="'vinegar 5 %' or 'lactic 88 %'.")
@click.option("--ph", help="Wanted, with --acid: 5.2, or as the cheese has it.")
@click.option("--ph-now", help="Of the brine now: 5.8; of TUB otherwise as last entered.")
@click.option("--alkalinity", help="Of the water: '2.5 mmol/L', '125 mg/L CaCO3', '7 dKH'.")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON, in g, L, % and degC.")
@click.pass_obj
def restore(
    config_path: Path | None,
    tub: str | None,
    volume: str | None,
    strength: str | None,
    to: str | None,
    temperature: str | None,
    batch: str | None,
    salt_percent: str | None,
    style_id: str | None,
    before: bool,
    face_salt: str | None,
    hold: str | None,
    calcium: str | None,
    calcium_as: str | None,
    calcium_now: str | None,
    sour: str | None,
    ph: str | None,
    ph_now: str | None,
    alkalinity: str | None,
    as_json: bool,
) -> None:
    """Salt or water that brings used brine to the strength --to, with calcium and acid.

    Cheese takes salt and gives water, so more salt must go in than was taken.
    With TUB, volume and strength are those that the journal leads to.
    """
    told = of_the_journal(config_path, tub) if tub else TubStated()
    litres = units.volume(volume) if volume else told.litres
    warm = units.temperature(temperature) if temperature else told.temperature
    now = _exactly(units.strength_at(strength, warm)) if strength else told.strength
    wanted = calcium_wanted(calcium, calcium_as)
    target = units.strength_at(to, warm, wanted.percent if wanted else 0.0) if to else told.wanted
    if litres is None:
        of = f" of {told.name}" if told.name else ""
        why = f", as 'cavewatch brine life \"{told.name}\"' tells" if told.name else ""
        raise CavewatchError(f"the volume{of} is not known{why}; add it: --volume '60 L'")
    if now is None or target is None:
        raise CavewatchError(
            "say how strong the brine is and how strong it shall be: "
            "--strength '18.5 %' --to '20 %'"
        )
    if (batch is None) != (salt_percent is None and style_id is None) or (
        salt_percent and style_id
    ):
        raise CavewatchError(
            "a batch takes two options: --batch '12 kg', and --salt-percent '1.8 %' or --style "
            "with the name of its style"
        )
    if face_salt and not (batch or told.cheese):
        raise CavewatchError("--face-salt goes on the faces of a batch: add --batch '12 kg'")
    cheese = units.mass(batch) if batch else 0.0
    salt = _salt(config_path, salt_percent, style_id)
    faces = units.mass(face_salt) if face_salt else 0.0
    most = units.volume(hold) * density(target, warm) if hold else None
    given = water_per_salt(now.expected)
    there = units.part(calcium_now, 5.0) if calcium_now else told.calcium
    if wanted and there is None:
        raise CavewatchError(
            "how much calcium chloride is in it now is not known; add --calcium-now '0.05 %', "
            "or '0 %' for brine without"
        )
    bring = Calcium(there, wanted.percent, wanted.source) if wanted and there is not None else None
    souring = acid_wanted(sour, ph, alkalinity)
    acidity = units.ph(ph_now) if ph_now else told.ph
    if souring and acidity is None:
        raise CavewatchError("how sour the brine is now is not known; add --ph-now 5.8")
    acid = (
        souring.grams(Tub.of(litres, now.expected, warm).water, acidity)
        if souring
        else _exactly(0.0)
    )

    batches = [
        Batch(_together(exchange(cheese, taken, water), inside), faces)
        for taken, water, inside in zip(_ends(salt), _ends(given), told.inside, strict=True)
    ]
    recovery = Recovery.of(
        litres,
        now,
        target,
        warm,
        batches,
        Timing.BEFORE if before else Timing.AFTER,
        most,
        bring,
        acid.expected,
    )
    found = Restoring(
        litres,
        now,
        strength or "",
        warm,
        target,
        to or "",
        cheese,
        salt,
        told,
        recovery,
        wanted,
        there,
        souring,
        acidity,
        acid,
    )
    if as_json:
        click.echo(json.dumps(rounded(plain(found)), indent=2))
    else:
        tell(found, display_for(config_path, volume, strength, to, temperature, batch))


def _exactly(value: float) -> Span:
    return Span(value, value, value)


def _ends(span: Span) -> tuple[float, float, float]:
    return span.low, span.expected, span.high


def _together(one: Exchange, other: Exchange) -> Exchange:
    return Exchange(one.salt + other.salt, one.water + other.water)


def _salt(config_path: Path | None, percent: str | None, style_id: str | None) -> Span:
    """Salt in the cheese when it is lifted [%]."""
    if style_id is None:
        return _exactly(units.part(percent, 20.0) if percent else 0.0)
    known = config_path or default_path().exists()
    book = config_of(config_path).styles if known else load()
    if style_id not in book:
        raise CavewatchError(
            f"there is no style {units.quoted(style_id)}; write one of {', '.join(sorted(book))}"
        )
    aim = book[style_id].salt
    return Span(aim.low, aim.value, aim.high)
