"""`cavewatch brine life`: what a tub's brine is by now, and what went through it."""

import dataclasses
import json
from pathlib import Path
from typing import Any

import click

from cavewatch import clock
from cavewatch.cli.brine.stated import brine_of
from cavewatch.cli.brine.wording import plain_span, rounded, say
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.entering import place_named
from cavewatch.cli.live import Live
from cavewatch.core.brine.account import account
from cavewatch.core.brine.life import TubLife
from cavewatch.core.brine.upkeep import renew, tests_due


@click.command()
@click.argument("tub")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON, in kg, L and %.")
@click.pass_obj
def life(config_path: Path | None, tub: str, as_json: bool) -> None:
    """The life of the brine in TUB: strength by now, volume, cheese passed, what is due."""
    live = Live.opened(config_path)
    try:
        desk = live.desk()
        dairy = desk.picture()
        view, found, _ = brine_of(dairy, place_named(desk, tub))
    finally:
        live.store.close()
    if as_json:
        click.echo(json.dumps(rounded(_plain(view.place.name, found, dairy.at, desk)), indent=2))
        return
    click.echo(view.place.name)

    def moment(at: float) -> str:
        return clock.moment(at, dairy.at, desk.zone)

    facts = account(found, dairy.at, moment, desk.display)
    say((label, words) for label, words in facts if words)


def _plain(name: str, found: TubLife, at: float, desk: StoreDesk) -> dict[str, Any]:
    """The life as JSON types; times are ISO 8601."""

    def when(instant: float | None) -> str | None:
        return None if instant is None else clock.iso(instant, desk.zone)

    return {
        "tub": name,
        "at": when(at),
        "mixed_at": when(found.since),
        "strength_percent": plain_span(found.strength),
        "measured": [
            {"at": when(instant), "strength_percent": value} for instant, value in found.measured
        ],
        "volume_l": found.litres,
        "passed_kg": found.passed_kg,
        "in_now_kg": found.in_now_kg,
        "last_lifted_at": when(found.lifted_at),
        "ph": found.ph,
        "ph_at": when(found.ph_at),
        "calcium_percent": found.calcium,
        "calcium_at": when(found.calcium_at),
        "clarity": found.clarity,
        "clarity_at": when(found.clarity_at),
        "filtered_at": when(found.filtered_at),
        "heated_at": when(found.heated_at),
        "cleaned_at": when(found.cleaned_at),
        "skimmed_at": when(found.skimmed_at),
        "due": [
            {**dataclasses.asdict(due), "at": when(due.at)}
            for due in tests_due(found, at, in_use=found.in_now_kg > 0)
        ],
        "advice": list(renew(found, at)),
        "remarks": list(found.remarks),
    }
