"""What stands under the curves of a tub: what to do to it, what is in it, what was found."""

from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.brine.account import account
from cavewatch.core.brine.life import TubLife
from cavewatch.core.brine.mixing import WHAT_TO_TAKE
from cavewatch.core.brine.recovery import MEASURE, STIR, Recovery, still_to_come
from cavewatch.core.brine.restoring import Batch
from cavewatch.core.countdown import Span
from cavewatch.core.dairy import Dairy, PlaceView
from cavewatch.core.errors import CavewatchError
from cavewatch.core.reading import Quantity
from cavewatch.core.style import Method, Style
from cavewatch.screens.details import fact
from cavewatch.screens.lines import Item, Line, Role
from cavewatch.screens.place_facts import place_facts
from cavewatch.units import Display

RESTORE, TESTS = "restore", "tests"
"""Keys of the items from which work and tests are entered."""
_FIRST = ("due now", "advice")
_CHART = ("brine",)
"""What the chart tells already."""
_MOST_STYLES = 3


def tub_facts(
    view: PlaceView, dairy: Dairy, zone: ZoneInfo, display: Display, width: int
) -> list[Item]:
    """What is to be done, who is in it, what is known of it."""
    life = view.life
    if life is None:
        return []

    def moment(at: float) -> str:
        return clock.moment(at, dairy.at, zone)

    rows = [row for row in account(life, dairy.at, moment, display) if row[1]]
    urgent = [row for row in rows if row[0] in _FIRST]
    rest = [row for row in rows if row[0] not in (*_FIRST, *_CHART)]
    restore = _restoring(view, life, dairy, display)
    items = [Item(RESTORE, _lines(restore, width, Role.STRONG))]
    items += _items(urgent, width, Role.CAUTION)
    items += place_facts(view, dairy, zone, display, width)
    items += _items(_rooms(life, dairy, view, display), width)
    items += _items(rest, width)
    items.append(Item("mind", _lines([("mind", f"{STIR}; {WHAT_TO_TAKE}")], width, Role.FAINT)))
    return items


def _items(rows: list[tuple[str, str]], width: int, role: Role = Role.PLAIN) -> list[Item]:
    return [
        Item(TESTS if label == "due now" else f"{label} {n}", _lines([(label, words)], width, role))
        for n, (label, words) in enumerate(rows)
    ]


def _lines(rows: list[tuple[str, str]], width: int, role: Role) -> tuple[Line, ...]:
    return tuple(line for label, words in rows for line in fact(label, words, width, role))


def _restoring(
    view: PlaceView, life: TubLife, dairy: Dairy, display: Display
) -> list[tuple[str, str]]:
    """What brings it back to its strength, counting what is in it as lifted."""
    brine = view.place.brine
    if brine is None:
        return []
    if life.litres is None:
        return [("to restore", "measure its volume and strength first; b enters them")]
    warm = view.measured.get(Quantity.TEMPERATURE, brine.temperature)
    wheels = [dairy.wheels[number] for number in view.wheels]
    batches = [Batch(exchange) for exchange in still_to_come(life, wheels)]
    try:
        found = Recovery.of(life.litres, life.strength, brine.strength, warm, batches)
    except CavewatchError as fault:
        return [("to restore", str(fault))]
    rows = [
        ("to restore" if n == 0 else "", f"{when}: {words}")
        for n, (when, words) in enumerate(found.told(display))
    ]
    inside = f"; {MEASURE}" if life.in_now_kg else ""
    return [*rows, ("", f"then {found.then(display)}{inside}")] if any(found.steps()) else rows


def _rooms(life: TubLife, dairy: Dairy, view: PlaceView, display: Display) -> list[tuple[str, str]]:
    """How much more cheese it takes."""
    return [
        ("takes", words) for style in _styles(dairy, view) if (words := _room(life, style, display))
    ]


def _styles(dairy: Dairy, view: PlaceView) -> list[Style]:
    """Of the wheels in it; of all that are brined where none is."""
    inside = [dairy.wheels[number].style for number in view.wheels]
    brined = [w.style for w in dairy.wheels.values() if w.method is Method.BRINE]
    return list({style.id: style for style in inside or brined}.values())[:_MOST_STYLES]


def _room(life: TubLife, style: Style, display: Display) -> str:
    room = life.room(style)
    if room is None or style.brine is None:
        return ""
    bound = f"{style.brine.strength.low:g} %"
    grams = Span(1000 * room.low, 1000 * room.expected, 1000 * room.high)
    if room.expected <= 0:
        return f"no more {style.name} before it is restored: it is under {bound} then"
    return f"about {display.about(grams)} more of {style.name} before it falls below {bound}"
