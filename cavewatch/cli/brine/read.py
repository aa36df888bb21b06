"""`cavewatch brine read`: what the instruments say of a brine, as strength with its range."""

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import click

from cavewatch import units
from cavewatch.cli.brine.stated import brine_of
from cavewatch.cli.brine.wording import (
    display_for,
    plain_span,
    rounded,
    say,
    say_notes,
    with_range,
)
from cavewatch.cli.desk import StoreDesk
from cavewatch.cli.entering import enter, entry, place_named
from cavewatch.core import journal
from cavewatch.core.brine import dried, hydrometer, refractometer
from cavewatch.core.brine.agreement import Measured, together
from cavewatch.core.brine.hydrometer import Hydrometer
from cavewatch.core.brine.strength import saturation
from cavewatch.core.countdown import Span
from cavewatch.core.dairy import Dairy
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Act
from cavewatch.core.text import clean
from cavewatch.units import Display, DriedReading, HydrometerReading, RefractometerReading


@dataclass(frozen=True, slots=True)
class _Conditions:
    """What has to be known besides the readings."""

    temperature: float | None
    """Of the brine [degC]."""
    calibrated: float
    """At which the hydrometer is right [degC]."""
    division: float | None
    """Between two marks of the hydrometer, in its unit."""
    calcium: float
    """[% w/w]"""


CALCIUM_STAYS = (
    "calcium chloride is taken out of what a hydrometer shows only; a refractometer and a dried "
    "sample are high by a little more than there is of it (from memory)"
)


@click.command()
@click.argument("readings", metavar="READING...", nargs=-1, required=True)
@click.option("--temperature", help="Of the brine while it was read: '12 degC', '54 degF'.")
@click.option(
    "--calibrated",
    default="60 degF",
    show_default=True,
    help="Temperature printed on the hydrometer.",
)
@click.option("--division", type=float, help="Between two marks of the hydrometer: 0.002.")
@click.option("--calcium", help="Calcium chloride known to be in the brine: '0.1 %'.")
@click.option("--enter", "tub", metavar="TUB", help="Write the strength into the journal.")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON, in % w/w and degC.")
@entry
@click.pass_obj
def read(
    config_path: Path | None,
    readings: tuple[str, ...],
    temperature: str | None,
    calibrated: str,
    division: float | None,
    calcium: str | None,
    tub: str | None,
    as_json: bool,
    at: str,
    by: str | None,
) -> None:
    """The strength behind one READING or several of the same brine.

    '1.151 SG', '20 Be' (modulus 145), '20 Be Gerlach' or '80 salometer' on a
    hydrometer, '22.7 Bx' on a refractometer, '50 g dry 10 g' for a sample
    weighed, dried out and weighed again.
    """
    display = display_for(config_path, temperature)
    conditions = _Conditions(
        temperature=units.temperature(temperature) if temperature else None,
        calibrated=units.temperature(calibrated),
        division=division,
        calcium=units.part(calcium, 5.0) if calcium else 0.0,
    )
    if tub is None:
        found = [_measured(text, conditions, None) for text in readings]
        if as_json:
            click.echo(json.dumps(rounded(_plain(readings, conditions, found)), indent=2))
        else:
            _say(readings, conditions, found, display)
        return
    if as_json:
        raise CavewatchError("--json only computes and --enter writes; give one of the two")

    def act(desk: StoreDesk, dairy: Dairy) -> Act:
        place = place_named(desk, tub)
        found = [_measured(text, conditions, _passed(dairy, place)) for text in readings]
        _say(readings, conditions, found, display)
        return journal.BrineMeasured(
            place,
            round(together(found).strength.expected, 2),
            temperature=conditions.temperature,
        )

    enter(config_path, act, at, by)


def _passed(dairy: Dairy, tub: str) -> float | None:
    """Cheese that has gone through a tub's brine [kg per litre]; None where it is not known."""
    _, life, _ = brine_of(dairy, tub)
    return life.passed_kg / life.litres if life.litres else None


def _measured(text: str, conditions: _Conditions, passed: float | None) -> Measured:
    match units.brine_reading(text):
        case DriedReading(sample, dry):
            return dried.read(sample, dry, passed=passed)
        case RefractometerReading(brix):
            warm = _warm(text, conditions)
            if not 10.0 <= warm <= 30.0:
                raise CavewatchError(
                    f"{units.quoted(text)} at {warm:g} degC cannot be told; let refractometer and "
                    "drop come to between 10 and 30 degC and give that as --temperature"
                )
            return refractometer.read(brix, warm, passed=passed)
        case HydrometerReading(scale, value):
            instrument = Hydrometer(scale, conditions.calibrated, conditions.division)
            return hydrometer.read(
                instrument,
                value,
                _warm(text, conditions),
                calcium=conditions.calcium,
                passed=passed,
            )


def _together(
    readings: tuple[str, ...], conditions: _Conditions, found: list[Measured]
) -> Measured:
    """What they say of one brine, with what was left out."""
    joint = together(found)
    others = any(not isinstance(units.brine_reading(r), HydrometerReading) for r in readings)
    if not (conditions.calcium and others):
        return joint
    return replace(joint, remarks=(*joint.remarks, CALCIUM_STAYS))


def _warm(text: str, conditions: _Conditions) -> float:
    if conditions.temperature is None:
        raise CavewatchError(
            f"{units.quoted(text)} means another strength in warm brine than in cold; "
            "add how warm it was: --temperature '12 degC'"
        )
    return conditions.temperature


def _say(
    readings: tuple[str, ...],
    conditions: _Conditions,
    found: list[Measured],
    display: Display,
) -> None:
    joint = _together(readings, conditions, found)
    if conditions.temperature is not None:
        click.echo(f"Brine at {display.temperature(conditions.temperature)}")
    say(_rows(readings, conditions, found, joint.strength, display))
    say_notes("mind", joint.remarks)


def _rows(
    readings: tuple[str, ...],
    conditions: _Conditions,
    found: list[Measured],
    joint: Span,
    display: Display,
) -> Iterator[tuple[str, str]]:
    for text, measured in zip(readings, found, strict=True):
        words = f"{with_range(measured.strength)}, {measured.by}"
        if isinstance(units.brine_reading(text), HydrometerReading):
            words += f" made for {display.temperature(conditions.calibrated)}"
            if conditions.calcium:
                words += f", {conditions.calcium:g} % calcium chloride taken out"
        yield clean(text.strip(), 40), words
    if len(found) > 1:
        yield "together", with_range(joint)
    words = f"{joint.expected:.1f} g of salt in 100 g of brine"
    if conditions.temperature is not None:
        share = min(100.0, 100.0 * joint.expected / saturation(conditions.temperature))
        words += f", {share:.0f} % of what dissolves"
    yield "that is", words


def _plain(
    readings: tuple[str, ...], conditions: _Conditions, found: list[Measured]
) -> dict[str, Any]:
    joint = _together(readings, conditions, found)
    return {
        "temperature_c": conditions.temperature,
        "calibrated_c": conditions.calibrated,
        "calcium_percent": conditions.calcium,
        "readings": [
            {
                "reading": text,
                "by": measured.by,
                "strength_percent": plain_span(measured.strength),
                "remarks": list(measured.remarks),
            }
            for text, measured in zip(readings, found, strict=True)
        ],
        "strength_percent": plain_span(joint.strength),
        "remarks": list(joint.remarks),
    }
