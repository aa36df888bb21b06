"""Places as lines: what is measured there, against its range."""

from collections.abc import Mapping

from cavewatch.core.dairy import ChannelView, PlaceView
from cavewatch.core.place import PlaceKind
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.series import Values
from cavewatch.screens import wording
from cavewatch.screens.chart import trend
from cavewatch.screens.gauge import gauge
from cavewatch.screens.lines import Line, Part, Role, cell, clean, fit, pad, spread
from cavewatch.screens.plan import NARROW, WIDE
from cavewatch.units import Display


def place_heading(width: int, full: bool) -> Line:
    """The heading over the places, which names the columns; narrow screens have none."""
    if full:
        last = Part(pad("last 24 h", trend_cells(width)), Role.FAINT)
        return spread((Part("places", Role.FAINT),), (last,), width)
    name, gap = _name_width(width), _gauge_width(width) - 7
    head = "".join(
        (
            pad("places", name + 3),
            pad("temperature", 27 + gap),
            pad("humidity", 23 + gap),
            pad("dew pt", 6, right=True),
            pad("wheels", 7, right=True),
        )
    )
    return fit((Part(head, Role.FAINT),), width)


def place_lines(
    view: PlaceView,
    display: Display,
    trends: Mapping[Channel, Values],
    width: int,
    full: bool,
) -> tuple[Line, ...]:
    """A place in one line; or, in full, in one line for itself and one for each channel."""
    if full:
        return (
            _title(view, display, width),
            *(
                _channel(item, display, trends.get(item.channel, ()), width)
                for item in view.channels
            ),
        )
    if width < NARROW:
        return (_short(view, display, width),)
    return (_single(view, display, width),)


def trend_cells(width: int) -> int:
    """Cells of a trend beside a channel; it has twice as many bins."""
    return 12 if width < WIDE else 24


def _wheels(count: int) -> str:
    return f"{count} wheel{'' if count == 1 else 's'}" if count else "empty"


def _value(view: ChannelView, display: Display) -> Part:
    """The value as it may be trusted: bright outside its range, faint when it is old."""
    words = wording.reading_words(view.channel, view.reading, display)
    if view.silent:
        return Part(words, Role.FAINT)
    return Part(words, Role.ALERT if view.misses else Role.STRONG)


def _state(view: ChannelView, width: int) -> Line:
    """The gauge, or in its place the word for a channel that gives no value."""
    if view.silent:
        return cell(Part("silent", Role.CAUTION), width)
    value = None if view.reading is None else view.reading.value
    if value is None:
        return cell(Part("fault", Role.CAUTION), width)
    return gauge(value, view.range, view.channel.quantity, width)


def _word(view: ChannelView) -> Part:
    """The state of a channel in one word, where there is no room for a gauge."""
    if view.silent or view.reading is None or view.reading.value is None:
        return Part("")
    if view.range.clash:
        return Part("clash", Role.CAUTION)
    if not view.misses:
        return Part("")
    return Part("LOW" if view.misses < 0 else "HIGH", Role.ALERT)


def _short(view: PlaceView, display: Display, width: int) -> Line:
    """For narrow screens: name, values, words."""
    parts: list[Part] = [Part(pad(clean(view.place.name), width - 26)), Part(" ")]
    for item, room in zip(view.channels, (7, 6), strict=False):
        word = _word(item)
        value = _value(item, display)
        if item.silent or item.reading is None or item.reading.value is None:
            value = Part("silent" if item.silent else "fault", Role.CAUTION)
        parts += (*cell(value, room, right=True), Part(" "), *cell(word, 5))
    if not view.channels:
        parts.append(Part(f"no probe, {_wheels(len(view.wheels))}", Role.FAINT))
    elif view.strength is not None and len(view.channels) == 1:
        parts.append(Part(f"brine {display.strength(view.strength)}", Role.FAINT))
    return fit(tuple(parts), width)


def _name_width(width: int) -> int:
    return 11 if width < WIDE else 20


def _gauge_width(width: int) -> int:
    return 7 if width < WIDE else 13


def _single(view: PlaceView, display: Display, width: int) -> Line:
    """One line with both channels, in columns."""
    parts: list[Part] = [Part(pad(clean(view.place.name), _name_width(width))), Part(" ")]
    channels = {item.channel.quantity: item for item in view.channels}
    bar = _gauge_width(width)
    for quantity, room in ((Quantity.TEMPERATURE, 9), (Quantity.HUMIDITY, 7)):
        item = channels.get(quantity)
        if item is None:
            words = _instead(view, quantity, display)
            parts.append(Part(pad(words, room + bar + 11), Role.FAINT))
            continue
        value = _value(item, display)
        limits = wording.range_words(quantity, item.range, display).rpartition(" ")[0]
        parts += (*cell(value, room, right=True), Part(" "))
        parts += (*_state(item, bar), Part(" "), Part(pad(limits, 8), Role.FAINT), Part(" "))
    dew = "" if view.dew_point is None else display.temperature(view.dew_point)
    parts.append(Part(pad(dew, 7, right=True), Role.FAINT))
    parts.append(Part(pad(str(len(view.wheels) or ""), 6, right=True)))
    return fit(tuple(parts), width)


def _instead(view: PlaceView, quantity: Quantity, display: Display) -> str:
    """What stands in the column of a channel that is not there."""
    if quantity is Quantity.HUMIDITY:
        return "" if view.strength is None else f"  brine {display.strength(view.strength)}"
    return "   no probe"


def _title(view: PlaceView, display: Display, width: int) -> Line:
    kind = view.place.kind
    facts = [_wheels(len(view.wheels))]
    if kind is PlaceKind.TUB and view.strength is not None:
        facts.append(f"brine {display.strength(view.strength)}")
    if view.dew_point is not None:
        facts.append(f"dew point {display.temperature(view.dew_point)}")
    if not view.channels:
        facts.append("no probe")
    name = pad(clean(view.place.name), 21) if width >= WIDE else f"{clean(view.place.name)}  "
    return fit((Part(name, Role.STRONG), Part(", ".join(facts), Role.FAINT)), width)


def _channel(view: ChannelView, display: Display, values: Values, width: int) -> Line:
    quantity = view.channel.quantity
    value = _value(view, display)
    bar = 7 if width < WIDE else 21
    limits = wording.range_words(quantity, view.range, display)
    left = (
        Part(f"  {quantity:<12}", Role.FAINT),
        *cell(value, 9, right=True),
        Part(" "),
        *_state(view, bar),
        Part(" "),
        Part(pad(limits, 10)),
        Part(
            clean(wording.clash(quantity, view.range, display) or wording.whose(view.range)),
            Role.FAINT,
        ),
    )
    return spread(
        left, (Part(pad(trend(values, quantity), trend_cells(width)), Role.FAINT),), width
    )
