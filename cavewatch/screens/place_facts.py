"""What stands under the curves of a place: who is in it, whose range counts, its sensors."""

from collections.abc import Iterator
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.dairy import ChannelView, Dairy, PlaceView
from cavewatch.core.ranges import Edge, Range, wanted
from cavewatch.core.reading import SignalStatus
from cavewatch.core.stages import stage_of
from cavewatch.core.style import Limits
from cavewatch.core.urgent import number_words
from cavewatch.core.wheel import Wheel
from cavewatch.screens import wording
from cavewatch.screens.lines import Item, Line, Part, Role, clean, fit, wrap
from cavewatch.units import Display

_INDENT = 2


def place_facts(
    view: PlaceView, dairy: Dairy, zone: ZoneInfo, display: Display, width: int
) -> list[Item]:
    """An item for each make, under the number of its first wheel; then one for each sensor."""
    items = [
        Item(str(wheels[0].id), make_lines(wheels, view, dairy.at, display, width))
        for wheels in makes(view, dairy)
    ]
    if not items:
        items.append(Item("empty", ((Part("no wheels here", Role.FAINT),),)))
    for channel in view.channels:
        name = channel.channel.quantity.value
        words = list(_sensor(channel, dairy.at, zone, display))
        items.append(Item(name, _told(f"{name} sensor", words, width)))
    return items


def makes(view: PlaceView, dairy: Dairy) -> list[list[Wheel]]:
    """The wheels of a place by make, oldest first."""
    found: dict[int, list[Wheel]] = {}
    for number in view.wheels:
        found.setdefault(dairy.wheels[number].make, []).append(dairy.wheels[number])
    return sorted(found.values(), key=lambda wheels: (wheels[0].made_at, wheels[0].id))


def make_lines(
    wheels: list[Wheel], view: PlaceView, now: float, display: Display, width: int
) -> tuple[Line, ...]:
    """Wheels of one make: which, how old, in which stage; what they want of the place."""
    first = wheels[0]
    stage = stage_of(first, now)
    doing = first.standing.value if stage is None else f"{stage.name}: {stage.care}"
    age = now - first.made_at
    old = clock.duration(age - age % wording.MINUTE)
    head = (
        Part(number_words(wheel.id for wheel in wheels), Role.STRONG),
        Part(f"  {clean(first.style.name)}, {old} old, {clean(doing)}"),
    )
    wants = "; ".join(_wants(first, view, now, display))
    return fit(head, width), *_under(f"wants {wants}" if wants else "", width)


def _wants(wheel: Wheel, view: PlaceView, now: float, display: Display) -> Iterator[str]:
    """Each limit that a wheel brings, and whether it is one that counts."""
    for item in view.channels:
        quantity = item.channel.quantity
        want = wanted(wheel, view.place.kind, quantity, now)
        if want is None:
            continue
        whose, limits = want[0], want[1].at(view.measured)
        words = wording.range_words(quantity, _range(whose, limits), display)
        if words:
            yield words + _sets(item.range, whose)


def _range(whose: str, limits: Limits) -> Range:
    low, high = (None if edge is None else Edge(edge, whose) for edge in (limits.low, limits.high))
    return Range(low, high)


def _sets(limits: Range, whose: str) -> str:
    low = limits.low is not None and limits.low.whose == whose
    high = limits.high is not None and limits.high.whose == whose
    if low and high:
        return ", which is the range"
    return ", the lower edge" if low else ", the upper edge" if high else ""


def _sensor(view: ChannelView, now: float, zone: ZoneInfo, display: Display) -> Iterator[str]:
    """What is to be known of a channel beyond its value."""
    reading, quantity = view.reading, view.channel.quantity
    clash = wording.clash(quantity, view.range, display)
    limits = wording.range_words(quantity, view.range, display)
    if clash:
        yield clash
    elif limits:
        yield f"range {limits}, {wording.whose(view.range)}"
    else:
        yield "nobody sets a range"
    if reading is None:
        yield "no reading yet"
    else:
        yield f"last read {clock.moment(reading.at, now, zone)}"
        if reading.status is not SignalStatus.GOOD:
            yield wording.STATUS[reading.status]
    checked = wording.sensor_words(view, now, display)
    if checked:
        yield checked


def _told(label: str, words: list[str], width: int) -> tuple[Line, ...]:
    return (Part(label, Role.FAINT),), *_under("; ".join(words), width)


def _under(words: str, width: int) -> tuple[Line, ...]:
    return tuple(
        (Part(" " * _INDENT + text, Role.FAINT),) for text in wrap(clean(words), width - _INDENT)
    )
