"""Values, countdowns and entries in the words that the screens show."""

from collections.abc import Callable, Iterator
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core import journal
from cavewatch.core.countdown import Action, Span
from cavewatch.core.dairy import ChannelView
from cavewatch.core.journal import BrineWork, Wash
from cavewatch.core.ranges import Range, clash_words
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.core.signal.told import told, verdict
from cavewatch.core.urgent import wheel_words
from cavewatch.units import Display

FINE = 600.0
"""Seconds are shown in this last stretch of a countdown, and nowhere else [s]."""
MINUTE = 60.0

STATUS = {
    SignalStatus.GOOD: "good",
    SignalStatus.FAILURE: "failure: the signal is not valid",
    SignalStatus.CHECK: "function check: the signal is not valid for the time being",
    SignalStatus.OUT_OF_SPECIFICATION: "out of specification: the signal is uncertain",
    SignalStatus.MAINTENANCE: "maintenance required: the signal is still valid",
}
"""NAMUR NE 107 in words."""

WASHED = {
    Wash.WASH: "washed",
    Wash.RUB: "rubbed",
    Wash.BRUSH: "brushed",
    Wash.WIPE: "wiped",
    Wash.OIL: "oiled",
    Wash.SCRAPE: "scraped",
}
"""What was done to a rind."""


def until(at: float, now: float) -> str:
    """'in 3 h 10', 'in 9 min 40', 'now', 'late 12 min'."""
    left = at - now
    if left <= -MINUTE:
        return f"late {length(-left)}"
    if left < 1:
        return "now"
    if left < FINE:
        minutes, seconds = divmod(int(left), 60)
        return f"in {minutes} min {seconds:02d}" if minutes else f"in {seconds} s"
    return f"in {length(left)}"


def length(seconds: float) -> str:
    """A length of time, whole minutes only."""
    words = clock.duration(seconds - seconds % MINUTE)
    return words.removesuffix(" min") if " h " in words else words


def countdown(action: Action, at: float, now: float) -> str:
    """'turn in 3 h 10'."""
    return f"{'salt' if action is Action.SALT_FACE else action} {until(at, now)}"


def out(at: Span, now: float, zone: ZoneInfo) -> str:
    """When a wheel comes out, with its range: 'out tomorrow 06:40, 04:10–11:30'.

    A range over several days names each by its weekday, which is short enough for a small
    screen: 'out Wed 06:40, Mon 22:30–Sat 15:05'.
    """
    if at.high - at.low < MINUTE:
        return f"out {clock.moment(at.expected, now, zone)}"
    # To five minutes: where there is a range, the model knows no better.
    low, expected, high = (round(end / 300) * 300 for end in (at.low, at.expected, at.high))
    days = {clock.local(each, zone).date() for each in (low, expected, high)}
    if len(days) == 1:
        ends = "–".join(f"{clock.local(end, zone):%H:%M}" for end in (low, high))
        return f"out {clock.moment(expected, now, zone)}, {ends}"
    ends = "–".join(_end(end, expected, now, zone) for end in (low, high))
    return f"out {_named(expected, now, zone)}, {ends}"


def ranged(span: Span, show: Callable[[float], str]) -> str:
    """A quantity with its range: '1.6 % (1.4 to 1.9 %)'; alone where the range rounds away."""
    low, expected, high = (show(each) for each in (span.low, span.expected, span.high))
    if low == high:
        return expected
    return f"{expected} ({low.removesuffix(' ' + high.partition(' ')[2])} to {high})"


def moved(shift: float) -> str:
    """By how much a lift has moved: '1 h 40 later'."""
    return f"{length(abs(shift))} {'later' if shift > 0 else 'sooner'}"


def _end(end: float, expected: float, now: float, zone: ZoneInfo) -> str:
    """One end of a range; its day is named unless it is that of the expected time."""
    there = clock.local(end, zone)
    if there.date() == clock.local(expected, zone).date():
        return f"{there:%H:%M}"
    return _named(end, now, zone)


def _named(at: float, now: float, zone: ZoneInfo) -> str:
    """An instant by its weekday, 'Wed 06:40'; by its date where that could be another week's."""
    there = clock.local(at, zone)
    near = abs((there.date() - clock.local(now, zone).date()).days) < 7
    return f"{there:%a %H:%M}" if near else clock.moment(at, now, zone)


def value_words(quantity: Quantity, value: float, display: Display) -> str:
    """A value with its unit."""
    show = display.temperature if quantity is Quantity.TEMPERATURE else display.humidity
    return show(value)


def reading_words(channel: Channel, reading: Reading | None, display: Display) -> str:
    """The newest value, or a dash; a letter follows it where the signal is not good (NE 107)."""
    if reading is None or reading.value is None:
        return "–"
    letter = "" if reading.status is SignalStatus.GOOD else f" {reading.status}"
    return value_words(channel.quantity, reading.value, display) + letter


def range_words(quantity: Quantity, limits: Range, display: Display) -> str:
    """'6–10 °C', 'from 90 %', 'to 12 °C'; empty where there is none."""
    low, high = (
        None if edge is None else _plain(value_words(quantity, edge.value, display))
        for edge in (limits.low, limits.high)
    )
    if low is None or high is None:
        return f"from {low}" if low else f"to {high}" if high else ""
    head, space, unit = low.partition(" ")
    return f"{head}–{high}" if high.endswith(space + unit) else f"{low} – {high}"


def _plain(words: str) -> str:
    """A whole number without its decimals."""
    head, space, unit = words.partition(" ")
    whole, dot, decimals = head.partition(".")
    return f"{whole if dot and not decimals.strip('0') else head}{space}{unit}"


def whose(limits: Range) -> str:
    """Who sets the edges of a range."""
    names = [edge.whose for edge in (limits.low, limits.high) if edge is not None]
    return " / ".join(dict.fromkeys(names))


def clash(quantity: Quantity, limits: Range, display: Display) -> str:
    """Who clashes and the nearest compromise; empty where nobody does."""
    return clash_words(
        quantity,
        limits,
        lambda quantity, value: _plain(value_words(quantity, value, display)),
        lambda quantity, value: _plain(difference_words(quantity, value, display)),
    )


def difference_words(quantity: Quantity, value: float, display: Display) -> str:
    """A difference of values with its unit."""
    if quantity is Quantity.TEMPERATURE:
        return display.temperature_difference(value)
    return display.humidity_difference(value)


def sensor_words(view: ChannelView, now: float, display: Display) -> str:
    """When a channel's sensor was checked, and what was found."""
    quantity = view.channel.quantity
    return told(view.record, now, lambda value: difference_words(quantity, value, display))


def _tried(act: journal.SensorChecked | journal.Testing, display: Display) -> str:
    """What was done with a sensor."""
    if isinstance(act, journal.Testing):
        return f"tested the sensor of {act.channel}"
    cold = act.against is journal.Against.ICE
    quantity = Quantity.TEMPERATURE if cold else Quantity.HUMIDITY
    found = verdict(act, lambda value: difference_words(quantity, value, display))
    return f"checked the sensor of {act.channel}: {found}"


def _found(act: journal.Assayed | journal.Weighed, display: Display) -> str:
    """What was found of wheels."""
    if isinstance(act, journal.Assayed):
        return f"assayed: {act.salt:.2f} ± {act.error:.2f} % salt"
    return f"weighed: {display.mass(act.grams)}" + (" each" if len(act.wheels) > 1 else "")


def _make(act: journal.Made | journal.Milk | journal.Acidity, display: Display) -> str:
    """What is said of a make: 'make of wheels 14–19: raw milk, 100 L'."""
    if isinstance(act, journal.Made):
        return f"new {wheel_words(act.wheels)} in {act.place}"
    about = wheel_words(act.wheels) if act.wheels else f"lot {act.lot}"
    if isinstance(act, journal.Acidity):
        return f"make of {about}: pH {act.ph:.2f} of the {act.where}"
    return f"make of {about}: {milk_words(act, display)}"


def milk_words(act: journal.Milk, display: Display) -> str:
    """'raw milk, 100 L, north farm'."""
    volume = "" if act.litres is None else display.volume(act.litres)
    return ", ".join(filter(None, (f"{act.treatment} milk", volume, act.source, act.heat)))


def action_words(act: journal.Corrected) -> str:
    """What was done about an alarm: 'product: moved to the upper cave; cause: door shut'."""
    return f"product: {act.product}" + (f"; cause: {act.cause}" if act.cause else "")


def _tested(act: journal.BrineMeasured, display: Display) -> Iterator[str]:
    """What a test of a brine found."""
    if act.strength is not None:
        yield display.strength(act.strength)
    if act.ph is not None:
        yield f"pH {act.ph:.1f}"
    if act.calcium is not None:
        yield f"{act.calcium:.2g} % calcium chloride"
    if act.temperature is not None:
        yield display.temperature(act.temperature)
    if act.clarity is not None:
        yield act.clarity.value
    if act.litres is not None:
        yield display.volume(act.litres)


def _moved(act: journal.Tended, display: Display) -> Iterator[str]:
    """What went into a tub and out of it."""
    if act.strength is not None:
        yield display.strength(act.strength)
    if act.litres is not None:
        yield display.volume(act.litres)
    if act.drawn_off:
        yield f"{display.mass(act.drawn_off)} drawn off"
    for grams, what in ((act.salt, "salt"), (act.water, "water"), (act.calcium, "calcium")):
        if grams:
            yield f"{display.mass(grams)} of {what}"


def _answered(act: journal.Answer | journal.Corrected | journal.Voided) -> str:
    """What was done with an alarm, about it, with all of a place, or with an entry."""
    if isinstance(act, journal.Corrected):
        return f"corrective action for {act.alarm}: {action_words(act)}"
    if isinstance(act, journal.Voided):
        return f"voided entry {act.entry}"
    about = f"alarms of {act.place}" if isinstance(act, journal.Suppressed) else act.alarm
    return f"{journal.kind_of(act)} {about}"


def act_words(act: journal.Act, display: Display) -> str:
    """What an entry says: 'turned wheels 14–19'."""
    match act:
        case journal.Made() | journal.Milk() | journal.Acidity():
            return _make(act, display)
        case journal.Turned() | journal.Washed():
            done = "turned" if isinstance(act, journal.Turned) else WASHED[act.how]
            return f"{done} {wheel_words(act.wheels)}"
        case journal.Salted():
            each = " each" if len(act.wheels) > 1 else ""
            return f"put {display.mass(act.grams)} of salt{each} on {wheel_words(act.wheels)}"
        case journal.Lifted():
            return f"lifted {wheel_words(act.wheels)}" + (f" to {act.place}" if act.place else "")
        case journal.Moved():
            return f"moved {wheel_words(act.wheels)} to {act.place}"
        case journal.Ended():
            return f"{act.how} {wheel_words(act.wheels)}"
        case journal.Assayed() | journal.Weighed():
            return f"{wheel_words(act.wheels)} {_found(act, display)}"
        case journal.BrineMeasured():
            found = ", ".join(_tested(act, display))
            return f"brine of {act.place} measured" + (f": {found}" if found else "")
        case journal.Tended():
            what = act.place if act.work is BrineWork.CLEANED else f"brine of {act.place}"
            moved = ", ".join(_moved(act, display))
            return f"{what} {act.work}" + (f": {moved}" if moved else "")
        case journal.Noted():
            about = f" about {wheel_words(act.wheels)}" if act.wheels else ""
            return f"note{about}: {act.text}"
        case journal.SensorChecked() | journal.Testing():
            return _tried(act, display)
        case _:
            return _answered(act)
