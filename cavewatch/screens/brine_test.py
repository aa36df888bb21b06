"""The form for a test of a tub's brine."""

from cavewatch import units
from cavewatch.core import journal
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Act, Clarity
from cavewatch.core.place import PlaceKind
from cavewatch.screens.desk import Desk
from cavewatch.screens.fields import EntryError, Field, Values, filled, optional
from cavewatch.screens.sheets import Sheet, Target, signed

_UNSEEN = "unseen"


def brine_test(desk: Desk, dairy: Dairy, target: Target) -> Sheet:
    """What was found in a tub, from the first look to the hydrometer."""
    fields = (
        tub_field(desk, target),
        _clarity(),
        _temperature(desk),
        _ph(),
        _calcium(),
        _volume(desk),
        _strength(desk),
        *signed(desk, dairy),
    )
    return Sheet("Brine measured", fields, _act)


def tub_field(desk: Desk, target: Target) -> Field:
    """Which tub; the one under the cursor at first."""
    tubs = [place.name for place in desk.places if place.kind is PlaceKind.TUB]
    if not tubs:
        raise EntryError("there is no tub in the config, so there is no brine to measure")
    return Field(
        "place",
        "tub",
        lambda text, _: text,
        lambda _, __: "",
        target.place if target.place in tubs else tubs[0],
        choices=tuple((name, name) for name in tubs),
    )


def _act(v: Values) -> Act:
    return journal.BrineMeasured(
        v["place"],
        strength=v["strength"],
        ph=v["ph"],
        temperature=v["temperature"],
        clarity=v["clarity"],
        calcium=v["calcium"],
        litres=v["litres"],
    )


def _clarity() -> Field:
    return Field(
        "clarity",
        "looks",
        lambda text, _: None if text == _UNSEEN else Clarity(text),
        lambda _, __: "",
        _UNSEEN,
        choices=(("not looked at", _UNSEEN), *((each.value, each.value) for each in Clarity)),
    )


def _temperature(desk: Desk) -> Field:
    return Field(
        "temperature",
        "temperature",
        optional(units.brine_temperature),
        lambda value, _: "" if value is None else desk.display.temperature(value),
        hint="12 C, 54 F or nothing",
    )


def _ph() -> Field:
    return Field(
        "ph",
        "pH",
        optional(units.ph),
        lambda value, _: "" if value is None else f"pH {value:.1f}",
        hint="5.2 or nothing",
    )


def _calcium() -> Field:
    return Field(
        "calcium",
        "calcium",
        optional(lambda text: units.part(text, 5.0)),
        lambda value, _: "" if value is None else f"{value:.2g} % calcium chloride",
        hint="0.1 % CaCl2 or nothing",
    )


def _volume(desk: Desk) -> Field:
    return Field(
        "litres",
        "volume",
        optional(units.volume),
        lambda value, _: "" if value is None else f"{desk.display.volume(value)} in the tub",
        hint="60 L, 16 gal or nothing",
    )


def _strength(desk: Desk) -> Field:
    def read(text: str, v: Values) -> float | None:
        others = [v[name] for name in ("clarity", "temperature", "ph", "calcium", "litres")]
        if not text.strip() and any(other is not None for other in others):
            return None
        return units.strength(filled(text))

    return Field(
        "strength",
        "strength",
        read,
        lambda value, _: (
            "not measured" if value is None else f"{desk.display.strength(value)} by weight"
        ),
        hint="20 %, 80 salometer, 19 Be",
    )
