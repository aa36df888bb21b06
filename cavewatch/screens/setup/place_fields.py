"""The form for a place of the set-up."""

import re
from collections.abc import Callable, Collection

from cavewatch import units
from cavewatch.config import values
from cavewatch.core.brine.strength import STRONGEST
from cavewatch.core.place import PlaceKind
from cavewatch.core.reading import PLAUSIBLE, Quantity
from cavewatch.screens.fields import EntryError, Field, Values, filled
from cavewatch.screens.setup.answers import PlaceAnswer
from cavewatch.units import Display, System

KINDS = {
    PlaceKind.CAVE: ("cave", "where cheese ripens"),
    PlaceKind.TUB: ("brine tub", "holds brine"),
    PlaceKind.TRAY: ("salting tray", "for dry salt"),
    PlaceKind.RACK: ("drying rack", "where wheels dry"),
    PlaceKind.ROOM: ("make room", "any other room"),
    PlaceKind.STORE: ("cold store", "where cheese only waits"),
}
"""A usual name of each kind, and what it is for."""
_RANGE = re.compile(r"(-?[\d.,]+)\s*([^\d\s-][^-–]*?)?\s*(?:-|–|\bto\b)\s*(-?[\d.,]+)\s*(.*)")
_DEGREES = {System.METRIC: "degC", System.US: "degF"}


def place_fields(place: PlaceAnswer, taken: Collection[str], display: Display) -> tuple[Field, ...]:
    """Name, and what a place of its kind needs.

    Args:
        place: as it was answered before, or a new one.
        taken: names of other places.
        display: the units of the maker.
    """

    def name(text: str, _: Values) -> str:
        found = str(values.place_name(filled(text).strip()))
        if found.casefold() in {each.casefold() for each in taken}:
            raise EntryError(f"there is a place '{found}' already; write another name")
        return found

    named = Field("name", "name", name, lambda found, _: found, place.name)
    degree = _DEGREES[display.system]
    if place.kind is PlaceKind.TUB:
        return named, *_brine(place, degree, display)
    return (
        named,
        _range_field(
            place,
            Quantity.TEMPERATURE,
            units.temperature,
            degree,
            display.temperature,
            "10-14" if display.system is System.METRIC else "50-57",
        ),
        _range_field(place, Quantity.HUMIDITY, units.humidity, "%", display.humidity, "85-95"),
    )


def place_of(kind: PlaceKind, v: Values) -> PlaceAnswer:
    """The place that such a form makes."""
    if kind is PlaceKind.TUB:
        return PlaceAnswer(
            v["name"],
            kind,
            strength=v["strength"],
            volume=v["volume"],
            temperature=v["warm"],
        )
    ranges = {each: v[each.value] for each in Quantity if v[each.value] is not None}
    return PlaceAnswer(v["name"], kind, ranges)


def _brine(place: PlaceAnswer, degree: str, display: Display) -> tuple[Field, ...]:
    volume = values.amount(None, 0.1, 100_000.0, "L")
    warm = values.amount(None, -20.0, 60.0, "degC")
    strong = values.amount(None, 1.0, STRONGEST, "% by weight")

    def checked(
        read: Callable[[str], float], within: values.Convert, unit: str
    ) -> Callable[[str, Values], str]:
        def convert(text: str, _: Values) -> str:
            found = _united(filled(text).strip(), unit)
            within(read(found))
            return found

        return convert

    litres = checked(units.volume, volume, "L" if degree == "degC" else "gal")
    return (
        Field(
            "strength",
            "brine",
            checked(units.strength, strong, ""),
            lambda text, _: f"{display.strength(units.strength(text))} by weight",
            place.strength or "20 %",
            hint="20 %, 19 Be",
        ),
        Field(
            "volume",
            "volume",
            lambda text, v: litres(text, v) if text.strip() else "",
            lambda text, _: display.volume(units.volume(text)) if text else "not known",
            place.volume,
            hint="60 L or 16 gal",
        ),
        Field(
            "warm",
            "temperature",
            checked(units.temperature, warm, degree),
            lambda text, _: display.temperature(units.temperature(text)),
            place.temperature or ("12 degC" if degree == "degC" else "54 degF"),
        ),
    )


def _range_field(
    place: PlaceAnswer,
    quantity: Quantity,
    read: Callable[[str], float],
    unit: str,
    show: Callable[[float], str],
    hint: str,
) -> Field:
    """Lowest and highest, as one text; it may stay empty."""
    low, high = (0.0, 100.0) if quantity is Quantity.HUMIDITY else PLAUSIBLE[quantity]
    edge = values.amount(None, low, high, "degC" if quantity is Quantity.TEMPERATURE else "%")
    limits = values.limits(edge, f"{hint} {unit}")

    def convert(text: str, _: Values) -> tuple[str, str] | None:
        if not text.strip():
            return None
        found = _RANGE.fullmatch(text.strip())
        if found is None:
            raise EntryError(f"'{text.strip()}' is not a range; write such as {hint} {unit}")
        first, own, last, common = found.groups()
        ends = _united(first, own or common or unit), _united(last, common or own or unit)
        limits([read(end) for end in ends])
        return ends

    def echo(ends: tuple[str, str] | None, _: Values) -> str:
        if ends is None:
            return "as the wheels in it want"
        return " to ".join(show(read(end)) for end in ends)

    initial = " - ".join(place.ranges.get(quantity, ()))
    return Field(quantity.value, quantity.value, convert, echo, initial, hint=hint)


def _united(text: str, unit: str) -> str:
    """The text with this unit, if it is a bare number."""
    bare = re.fullmatch(r"-?[\d.,]+", text)
    return f"{text} {unit}".strip() if bare else text
