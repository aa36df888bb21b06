"""A used brine, what brings it back, and how that is said."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import click

from cavewatch.cli.brine.acid import AcidWanted, acid_cautions, acid_words
from cavewatch.cli.brine.calcium import CalciumWanted, calcium_words
from cavewatch.cli.brine.stated import TubStated
from cavewatch.cli.brine.wording import (
    as_typed,
    by_weight,
    plain_span,
    say,
    say_notes,
    with_range,
)
from cavewatch.core.brine.acid import WHEY_BUFFERS
from cavewatch.core.brine.calcium import CALCIUM_CAUTION
from cavewatch.core.brine.mixing import WHAT_TO_TAKE
from cavewatch.core.brine.recovery import MEASURE, STIR, Recovery
from cavewatch.core.brine.restoring import What
from cavewatch.core.countdown import Span
from cavewatch.units import Display


@dataclass(frozen=True, slots=True)
class Restoring:
    """What is to be done, with its range."""

    litres: float
    strength: Span
    """Now [% w/w]."""
    strength_typed: str
    """The same as it was typed; empty where the journal leads to it."""
    temperature: float
    """[degC]"""
    to: float
    """Wanted strength [% w/w]."""
    to_typed: str
    """The same as it was typed; empty where the config says it."""
    cheese: float
    """In the batch [g]."""
    salt: Span
    """In the cheese when it is lifted [%]."""
    told: TubStated
    """What the journal says."""
    recovery: Recovery
    calcium: CalciumWanted | None
    calcium_now: float | None
    """Calcium chloride in the brine before [% w/w]."""
    acid: AcidWanted | None
    ph_now: float | None
    acid_grams: Span
    """Acid product to add [g]."""

    @property
    def calcium_grams(self) -> float:
        """Calcium product to add, as expected [g]."""
        return self.recovery.plans[1].calcium


def tell(found: Restoring, display: Display) -> None:
    """Print it."""
    volume, warm = display.to_measure(found.litres), display.temperature(found.temperature)
    click.echo(f"{volume} of brine at {warm}")
    say(_rows(found, display))
    say_notes("mind", found.told.remarks)
    put_in = {what for _, what, _ in found.recovery.steps()}
    if put_in:
        say_notes("mind", (STIR, *((MEASURE,) if found.cheese or found.told.cheese else ())))
    if found.acid and found.acid_grams.expected:
        say_notes("caution", (*acid_cautions(found.acid), WHEY_BUFFERS))
    say_notes("caution", ((CALCIUM_CAUTION,) if found.calcium_grams else ()))
    say_notes("caution", ((WHAT_TO_TAKE,) if put_in - {What.DRAW_OFF} else ()))


def _rows(found: Restoring, display: Display) -> Iterator[tuple[str, str]]:
    if found.strength_typed:
        yield "has", as_typed(found.strength_typed, found.strength.expected)
    else:
        yield (
            "has",
            f"{with_range(found.strength)}, as the journal of {found.told.name} leads to it",
        )
    if found.told.cheese:
        yield "in it now", f"{display.mass(found.told.cheese)} of cheese, counted as lifted"
    if found.cheese:
        cheese = display.mass(found.cheese)
        yield "batch", f"{cheese} of cheese, which takes up {_percents(found.salt)}"
    if found.to_typed:
        yield "wanted", as_typed(found.to_typed, found.to)
    else:
        yield "wanted", f"{by_weight(found.to)}, as in the config"
    yield from found.recovery.told(display)
    if found.calcium:
        yield "calcium", _calcium(found, found.calcium, display)
    if found.acid:
        yield "acid", _acid(found, found.acid, display)
    yield "then", found.recovery.then(display)


def _calcium(found: Restoring, wanted: CalciumWanted, display: Display) -> str:
    if not found.calcium_grams:
        return f"nothing: {found.calcium_now:g} % CaCl2 is in it"
    return (
        f"{calcium_words(found.calcium_grams, wanted, display)}; in it now {found.calcium_now:g} %"
    )


def _acid(found: Restoring, wanted: AcidWanted, display: Display) -> str:
    if not found.acid_grams.expected:
        return f"nothing: it is at pH {found.ph_now:g}"
    return f"{acid_words(found.acid_grams, wanted, display)}; now at pH {found.ph_now:g}"


def _percents(span: Span) -> str:
    if span.low == span.high:
        return f"{span.expected:g} % salt"
    return f"{span.expected:g} % salt ({span.low:g} to {span.high:g} %)"


def plain(found: Restoring) -> dict[str, Any]:
    """As JSON types: g, L, % w/w and degC."""
    return {
        "volume_l": found.litres,
        "strength_percent": plain_span(found.strength),
        "temperature_c": found.temperature,
        "to_percent": found.to,
        "batch_g": found.cheese,
        "batch_salt_percent": plain_span(found.salt) if found.cheese else None,
        "in_it_now_g": found.told.cheese,
        "steps": [
            {"when": when.value, "what": what.value, "g": plain_span(grams)}
            for when, what, grams in found.recovery.steps()
        ],
        "calcium_now_percent": found.calcium_now,
        "calcium_percent": found.calcium.percent if found.calcium else None,
        "calcium_as": found.calcium.source.name if found.calcium else None,
        "calcium_g": found.calcium_grams,
        "ph_now": found.ph_now,
        "ph": found.acid.ph if found.acid else None,
        "acid_as": found.acid.acid.name if found.acid else None,
        "acid_g": plain_span(found.acid_grams) if found.acid else None,
        "end_g": found.recovery.end.mass,
        "end_percent": found.recovery.end.strength,
        "remarks": list(found.told.remarks),
    }
