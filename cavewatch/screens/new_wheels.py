"""The form for new wheels."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from cavewatch import clock, units
from cavewatch.core import journal
from cavewatch.core.countdown import Span
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Act
from cavewatch.core.place import PlaceKind
from cavewatch.core.record import open_lot
from cavewatch.core.shape import Shape
from cavewatch.core.style import Method
from cavewatch.core.urgent import wheel_words
from cavewatch.core.wheel import own_temperature
from cavewatch.screens.desk import Desk
from cavewatch.screens.fields import EntryError, Field, Values, filled, whole
from cavewatch.screens.sheets import Sheet, Target, signed, text_field, time_echo

MOST_WHEELS = 500
"""Wheels in one entry; more is a slip of the finger."""
LIGHTEST, HEAVIEST = 0.6, 1.6
"""Paste outside of this is a slip in weight or size, not a cheese [g/cm3]. Judgement:
the style book's densities lie between 1.0 and 1.2; open and irregular wheels measure less."""
NOTHING_KNOWN: Mapping[str, str] = MappingProxyType({})
_USUAL, _NOW, _BEFORE, _FLOATS, _HELD = "usual", "now", "before", "floats", "held"


def new_wheels(
    desk: Desk, dairy: Dairy, target: Target, known: Mapping[str, str] = NOTHING_KNOWN
) -> Sheet:
    """A make: its style, number, weight, size, salting and place.

    What is known already stands in its field, by the name of the field.
    """
    fields: tuple[Field, ...] = (
        style_field(desk),
        count_field(desk),
        _weight(desk),
        size_field(desk),
        method_field(desk),
        *_salting(),
        _temperature(desk),
        _place(desk, dairy, target),
        _made(desk, dairy),
        replace(text_field("lot", "lot"), initial=open_lot(desk.entries())),
        *signed(desk, dairy),
    )
    fields = tuple(replace(field, initial=known.get(field.name, field.initial)) for field in fields)
    return Sheet("New wheels", fields, lambda v: _act(desk, v))


def _act(desk: Desk, v: Values) -> Act:
    first = desk.next_wheel()
    made_at, ago = v["made"] or (None, False)
    return journal.Made(
        wheels=tuple(range(first, first + v["count"])),
        style=v["style"],
        method=v["method"],
        weight=v["weight"],
        place=v["place"],
        shape=v["size"],
        salting_done=v["salted"],
        made_at=made_at,
        made_ago=ago,
        floats=v["floats"],
        lot=v["lot"],
        temperature=v["temperature"],
    )


def style_field(desk: Desk) -> Field:
    """One of the style book."""
    if not desk.styles:
        raise EntryError("the style book is empty, so there is nothing to make")
    styles = sorted(desk.styles.values(), key=lambda style: (not style.made_here, style.name))
    return Field(
        "style",
        "style",
        lambda text, _: text,
        lambda style, _: desk.styles[style].family,
        styles[0].id,
        tuple((each.name, each.id) for each in styles),
    )


def count_field(desk: Desk) -> Field:
    """How many wheels."""

    def echo(count: int, _: Values) -> str:
        first = desk.next_wheel()
        return wheel_words(range(first, first + count))

    return Field("count", "how many", lambda text, _: whole(text, MOST_WHEELS), echo, "1")


def _weight(desk: Desk) -> Field:
    def echo(grams: float, v: Values) -> str:
        usual = desk.styles[v["style"]].weight
        mass = desk.display.mass
        each = desk.display.to_weigh(grams)
        return f"{each} each; usual is {mass(usual.low)} to {mass(usual.high)}"

    return Field(
        "weight",
        "weight each",
        lambda text, _: units.mass(filled(text)),
        echo,
        hint="2.3 kg or 5 lb",
    )


def size_field(desk: Desk) -> Field:
    """The size of a wheel that has the `weight` above."""

    def read(text: str, v: Values) -> Shape | None:
        if not text.strip():
            return None
        shape = units.shape(text)
        density = v["weight"] / shape.volume
        if not LIGHTEST <= density <= HEAVIEST:
            raise EntryError(
                f"{desk.display.mass(v['weight'])} in {desk.display.shape(shape)} would be "
                f"{density:.2f} g per cm3; this cheese has about "
                f"{desk.styles[v['style']].density.value:g}"
            )
        return shape

    def echo(shape: Shape | None, v: Values) -> str:
        if shape is not None:
            return desk.display.shape(shape)
        style = desk.styles[v["style"]]
        usual = style.proportions.sized(v["weight"] / style.density.value)
        return f"usual: {desk.display.shape(usual)}"

    return Field("size", "size", read, echo, hint="usual, or 7 x 3 in")


def method_field(desk: Desk) -> Field:
    """How they are salted; as usual for the style above, or otherwise."""

    def method(text: str, v: Values) -> Method:
        allowed = desk.styles[v["style"]].methods
        chosen = allowed[0] if text == _USUAL else Method(text)
        if chosen not in allowed:
            raise EntryError(f"this style is salted by {' or '.join(allowed)}, not by {chosen}")
        return chosen

    return Field(
        "method",
        "salted by",
        method,
        lambda chosen, _: f"{chosen.value}",
        _USUAL,
        (("as usual", _USUAL), *((method.value, method.value) for method in Method)),
    )


def _salting() -> tuple[Field, Field]:
    def salted_echo(done: bool, v: Values) -> str:
        if done or v["method"] is Method.MILLED:
            return "no countdown"
        return "the countdown starts"

    return (
        Field(
            "salted",
            "salting",
            lambda text, _: text == _BEFORE,
            salted_echo,
            _NOW,
            (("starts with this", _NOW), ("was over before", _BEFORE)),
        ),
        Field(
            "floats",
            "in brine it",
            lambda text, _: text == _FLOATS,
            lambda floats, v: (
                ("one face stays dry" if floats else "all faces are wet")
                if v["method"] is Method.BRINE
                else ""
            ),
            _FLOATS,
            (("floats", _FLOATS), ("is held under", _HELD)),
        ),
    )


def _temperature(desk: Desk) -> Field:
    """The wheels' own; warm ones take up salt faster."""

    def read(text: str, _: Values) -> float | None:
        return own_temperature(units.temperature(text)) if text.strip() else None

    def echo(celsius: float | None, _: Values) -> str:
        return "as the place" if celsius is None else desk.display.temperature(celsius)

    return Field("temperature", "as warm as", read, echo, hint="the place, or 30 degC")


def _place(desk: Desk, dairy: Dairy, target: Target) -> Field:
    kinds = {place.name: place.kind for place in desk.places}

    def read(name: str, v: Values) -> str:
        salting = not v["salted"]
        if v["method"] is Method.BRINE and salting and kinds[name] is not PlaceKind.TUB:
            raise EntryError(f"{name} is no tub, and these wheels go into brine")
        if (v["method"] is not Method.BRINE or not salting) and kinds[name] is PlaceKind.TUB:
            raise EntryError(f"{name} is a tub, and these wheels do not go into brine")
        return name

    tubs = [name for name, kind in kinds.items() if kind is PlaceKind.TUB]
    initial = target.place if target.place in tubs else next(iter(tubs or kinds))
    return Field(
        "place",
        "place",
        read,
        lambda name, v: room_words(desk, dairy, name, v) or kinds[name].value,
        initial,
        tuple((name, name) for name in kinds),
    )


def room_words(desk: Desk, dairy: Dairy, place: str, v: Values) -> str:
    """What a tub can still take; empty where that cannot be told."""
    life = next(view.life for view in dairy.places if view.place.name == place)
    style = desk.styles[v["style"]]
    room = None if life is None else life.room(style)
    if room is None or style.brine is None:
        return ""
    grams = Span(1000 * room.low, 1000 * room.expected, 1000 * room.high)
    bound = f"it falls below {style.brine.strength.low:g} %"
    if v.get("count", 0) * v.get("weight", 0.0) >= grams.expected:
        return f"restore it first: {bound} before these are done"
    return f"takes about {desk.display.about(grams)} before {bound}"


def _made(desk: Desk, dairy: Dairy) -> Field:
    def read(text: str, _: Values) -> tuple[float, bool] | None:
        if not text.strip():
            return None
        at = clock.instant(text, desk.now(), desk.zone)
        if dairy.clock_sure and at > desk.now():
            raise EntryError(f"'{text}' is still to come")
        return at, clock.is_relative(text)

    show = time_echo(desk)
    return Field(
        "made",
        "made",
        read,
        lambda made, v: "when entered" if made is None else show(made[0], v),
        hint="yesterday 11:00",
    )
