"""The form for work done on a tub's brine."""

from collections.abc import Callable

from cavewatch import units
from cavewatch.core import journal
from cavewatch.core.brine.calcium import CALCIUM_CAUTION
from cavewatch.core.brine.defects import CLEANING
from cavewatch.core.brine.mixing import WHAT_TO_TAKE
from cavewatch.core.brine.recovery import STIR
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Act, BrineWork
from cavewatch.screens.brine_test import tub_field
from cavewatch.screens.desk import Desk
from cavewatch.screens.fields import EntryError, Field, Values
from cavewatch.screens.sheets import Sheet, Target, signed

HEATING = "let it cool before cheese goes in; hot brine scalds"
_CAUTIONS = {
    BrineWork.MIXED: WHAT_TO_TAKE,
    BrineWork.RESTORED: STIR,
    BrineWork.HEATED: HEATING,
    BrineWork.CLEANED: CLEANING,
}


def brine_work(desk: Desk, dairy: Dairy, target: Target) -> Sheet:
    """What was done to a tub, with what went in and out."""
    display = desk.display
    fields = (
        tub_field(desk, target),
        _work(),
        _amount("salt", "salt in", units.mass, display.to_weigh, "650 g or nothing"),
        _amount("water", "water in", units.water, display.to_weigh, "2 L, 0.5 gal, nothing"),
        _amount("drawn_off", "drawn off", units.mass, display.to_weigh, "5 kg or nothing"),
        _amount(
            "calcium",
            "CaCl2 in",
            units.mass,
            lambda grams: f"{display.to_weigh(grams)}; {CALCIUM_CAUTION}",
            "60 g or nothing",
        ),
        _fresh("litres", "brine then", units.volume, display.volume, "60 L, when mixed"),
        _strength(desk),
        *signed(desk, dairy),
    )
    return Sheet("Work on a brine", fields, _act)


def _act(v: Values) -> Act:
    return journal.Tended(
        v["place"],
        v["work"],
        salt=v["salt"] or 0.0,
        water=v["water"] or 0.0,
        drawn_off=v["drawn_off"] or 0.0,
        calcium=v["calcium"] or 0.0,
        litres=v["litres"],
        strength=v["strength"],
    )


def _work() -> Field:
    return Field(
        "work",
        "done",
        lambda text, _: BrineWork(text),
        lambda work, _: _CAUTIONS.get(work, ""),
        BrineWork.RESTORED,
        choices=tuple((work.value, work.value) for work in BrineWork),
    )


def _amount(
    name: str,
    label: str,
    read: Callable[[str], float],
    show: Callable[[float], str],
    hint: str,
) -> Field:
    return Field(
        name,
        label,
        lambda text, _: read(text) if text.strip() else None,
        lambda value, _: "" if value is None else show(value),
        hint=hint,
    )


def _fresh(
    name: str,
    label: str,
    read: Callable[[str], float],
    show: Callable[[float], str],
    hint: str,
) -> Field:
    """What is only told of brine that was mixed; of other brine it is a test."""

    def only(text: str, v: Values) -> float | None:
        if not text.strip():
            return None
        if v["work"] is not BrineWork.MIXED:
            raise EntryError(
                f"goes with 'mixed'; what was found after it was {v['work']} is entered with b"
            )
        return read(text)

    return Field(
        name, label, only, lambda value, _: "" if value is None else show(value), hint=hint
    )


def _strength(desk: Desk) -> Field:
    field = _fresh(
        "strength",
        "strength",
        units.strength,
        lambda percent: f"{desk.display.strength(percent)} by weight",
        "20 %, 19 Be, when mixed",
    )

    def read(text: str, v: Values) -> float | None:
        weighed = v["salt"] and v["water"]
        if v["work"] is BrineWork.MIXED and not text.strip() and not weighed:
            raise EntryError("say how strong it is, or how much salt and water went in")
        found: float | None = field.read(text, v)
        return found

    def echo(percent: float | None, v: Values) -> str:
        if percent is None and v["work"] is BrineWork.MIXED:
            return "as the salt and the water make it"
        return field.echo(percent, v)

    return Field(field.name, field.label, read, echo, hint=field.hint)
