"""The forms for the milk of a make and for its pH."""

from dataclasses import replace

from cavewatch import units
from cavewatch.core import journal
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Act, Milk, Sample, Treatment
from cavewatch.core.record import milk_of, open_lot
from cavewatch.core.urgent import number_words, wheel_words
from cavewatch.core.wheel import Wheel, fold
from cavewatch.screens.desk import Desk
from cavewatch.screens.fields import EntryError, Field, Values, filled, numbers, optional
from cavewatch.screens.sheets import Sheet, Target, signed, text_field

Make = tuple[tuple[int, ...], str]
"""Wheels, or none and a lot."""

_LOT, _TYPED = "lot", "typed"
_MEANT = {
    Treatment.RAW: "not heated",
    Treatment.HEATED: "warmed, but less than pasteurised",
    Treatment.PASTEURISED: "as the rule says that you work under",
}


def milk(desk: Desk, dairy: Dairy, target: Target) -> Sheet:
    """The milk of a make, and what was put into it."""
    every, lot = _wheels(desk), open_lot(desk.entries())
    known = [every[number] for number in target.make if number in every]
    told = bool(known) and bool(milk_of(known[0], desk.entries()))
    return Sheet(
        "Milk",
        (
            _treatment(),
            *_make(every, target, lot, of_lot=told or not known),
            _volume(desk),
            text_field("source", "source"),
            _heat(),
            text_field("cultures", "cultures"),
            text_field("rennet", "rennet"),
            *signed(desk, dairy),
        ),
        _milk,
    )


def acidity(desk: Desk, dairy: Dairy, target: Target) -> Sheet:
    """A pH on the way from milk to cheese."""
    lot = open_lot(desk.entries())
    where = Field(
        "where",
        "of the",
        lambda text, _: Sample(text),
        lambda _, __: "",
        Sample.CURD,
        choices=tuple((each.value, each.value) for each in Sample),
    )
    ph = Field(
        "ph",
        "pH",
        lambda text, _: units.ph(filled(text)),
        lambda value, _: f"pH {value:.2f}",
        hint="6.45",
    )
    return Sheet(
        "pH",
        (
            ph,
            where,
            *_make(_wheels(desk), target, lot, of_lot=bool(lot) or not target.make),
            *signed(desk, dairy),
        ),
        lambda v: journal.Acidity(v["ph"], v["where"], *v["make"]),
    )


def _milk(v: Values) -> Act:
    wheels, lot = v["make"]
    return Milk(
        v["treatment"],
        wheels,
        lot,
        source=v["source"],
        litres=v["litres"],
        heat=v["heat"],
        cultures=v["cultures"],
        rennet=v["rennet"],
    )


def _wheels(desk: Desk) -> dict[int, Wheel]:
    """All that there ever were: a record may be made up for later."""
    return fold(desk.entries(), desk.styles, {place.name: place for place in desk.places})[0]


def _treatment() -> Field:
    def read(text: str, _: Values) -> Treatment:
        if not text:
            raise EntryError("choose what was done to the milk")
        return Treatment(text)

    return Field(
        "treatment",
        "milk",
        read,
        lambda done, _: _MEANT[done],
        choices=(("choose", ""), *((each.value, each.value) for each in Treatment)),
    )


def _make(
    every: dict[int, Wheel], target: Target, lot: str, *, of_lot: bool
) -> tuple[Field, Field]:
    """Which make: by wheels at hand or typed, or before there are any by its lot."""
    near = {target.make: "the make"}
    near.setdefault(target.chosen, "selected")
    choices = [
        (f"{number_words(wheels)}, {label}", ",".join(map(str, wheels)))
        for wheels, label in near.items()
        if wheels
    ]
    first = choices[0][1] if choices and not of_lot else _LOT
    choices += [("a lot, named below", _LOT), ("wheels typed below", _TYPED)]

    def read(text: str, v: Values) -> Make:
        if v["which"] == _LOT:
            return (), filled(text).strip()
        return numbers(filled(text) if v["which"] == _TYPED else v["which"], every), ""

    def echo(make: Make, _: Values) -> str:
        wheels, name = make
        found = wheels or tuple(
            n for n, wheel in every.items() if wheel.lot.casefold() == name.casefold()
        )
        if not found:
            return f"lot {name}, no wheels yet"
        kinds = ", ".join(dict.fromkeys(every[n].style.name for n in found))
        return f"{'' if wheels else f'lot {name}, '}{wheel_words(found)}: {kinds}"

    which = Field(
        "which", "make", lambda text, _: text, lambda _, __: "", first, choices=tuple(choices)
    )
    named = Field("make", "lot or wheels", read, echo, hint="Tuesday; or 14-19, 22")
    return which, replace(named, initial=lot)


def _volume(desk: Desk) -> Field:
    return Field(
        "litres",
        "volume",
        optional(units.volume),
        lambda value, _: "" if value is None else desk.display.volume(value),
        hint="100 L, 25 gal or nothing",
    )


def _heat() -> Field:
    def read(text: str, v: Values) -> str:
        if text.strip() and v["treatment"] is Treatment.RAW:
            raise EntryError("raw milk is not heated; choose heat-treated or pasteurised")
        return text.strip()

    return Field("heat", "heated", read, lambda _, __: "", hint="63 C, 30 min or nothing")
