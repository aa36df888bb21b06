"""What pages say in words: the whole of an alarm, of a group of wheels, of a place."""

from collections.abc import Mapping
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.alarms.alarm import Alarm
from cavewatch.core.brine.account import account
from cavewatch.core.brine.life import TubLife
from cavewatch.core.dairy import ChannelView, Dairy, PlaceView
from cavewatch.core.reading import Channel, SignalStatus
from cavewatch.core.series import Values
from cavewatch.core.stages import stage_of
from cavewatch.core.urgent import number_words
from cavewatch.core.wheel import Wheel
from cavewatch.screens import wording
from cavewatch.screens.alarms import PRIORITIES, STATES, when
from cavewatch.screens.chart import chart, scale
from cavewatch.screens.lines import Line, Part, Role, clean, pad, wrap
from cavewatch.units import Display

GONE: list[Line] = [(Part("This is over; there is nothing more to see."),)]
NO_ALARM: list[Line] = [(Part("No alarm stands.", Role.FAINT),)]
_LABEL = 14
CHART_ROWS = 4


def fact(label: str, words: str, width: int, role: Role = Role.PLAIN) -> list[Line]:
    """A label with text beside it, or below it where there is little room; nothing for no text."""
    words = clean(words)
    if not words:
        return []
    if width < 50:
        head: list[Line] = [(Part(label, Role.FAINT),)] if label else []
        return [*head, *((Part(f"  {text}", role),) for text in wrap(words, width - 2))]
    texts = wrap(words, width - _LABEL)
    return [
        (Part(pad(label if index == 0 else "", _LABEL), Role.FAINT), Part(text, role))
        for index, text in enumerate(texts)
    ]


def alarm_detail(alarm: Alarm, now: float, zone: ZoneInfo, width: int) -> list[Line]:
    """What is wrong, why, what it does to the cheese, what to do and how long there is."""
    told = alarm.explanation
    left = alarm.since + told.respond_hours * 3600 - now
    respond = f"within {clock.duration(told.respond_hours * 3600).removesuffix(' 00 min')}"
    if left > 0:
        respond += f", that is until {clock.moment(now + left, now, zone)}"
    else:
        respond += f"; that time passed {clock.duration(-left)} ago"
    state = f"{STATES[alarm.state]}, {PRIORITIES[alarm.priority]} priority"
    return [
        *fact("what", told.what, width, Role.STRONG),
        *fact("how far", told.how_far, width),
        *fact("state", f"{state}, {when(alarm, now, zone)}", width),
        *fact("why", alarm.why, width),
        *fact("do", told.action, width, Role.STRONG),
        *fact("respond", respond, width),
        *fact("if not done", told.consequence, width),
        *fact("who else", told.others, width),
        *fact("likely causes", told.causes, width),
    ]


def place_detail(
    view: PlaceView,
    dairy: Dairy,
    trends: Mapping[Channel, Values],
    now: float,
    zone: ZoneInfo,
    display: Display,
    width: int,
) -> list[Line]:
    """What is measured at a place, over the last day too, and which wheels are in it."""
    dew = "" if view.dew_point is None else display.temperature(view.dew_point)
    lines = [
        *fact("kind", view.place.kind, width),
        *([] if view.life is None else _brine(view.life, now, zone, display, width)),
        *fact("dew point", dew, width),
    ]
    for item in view.channels:
        lines += _channel(item, now, zone, display, width)
        lines += _curve(item, trends.get(item.channel, ()), display)
    if not view.channels:
        lines += fact("probe", "none", width)
    for wheels in _makes(view, dairy):
        lines += fact("wheels", _residents(wheels, now), width)
    return lines


def _brine(life: TubLife, now: float, zone: ZoneInfo, display: Display, width: int) -> list[Line]:
    def moment(at: float) -> str:
        return clock.moment(at, now, zone)

    roles = {"brine": Role.STRONG, "advice": Role.CAUTION}
    return [
        line
        for label, words in account(life, now, moment, display)
        for line in fact(label, words, width, roles.get(label, Role.PLAIN))
    ]


def _channel(
    view: ChannelView, now: float, zone: ZoneInfo, display: Display, width: int
) -> list[Line]:
    quantity, reading = view.channel.quantity, view.reading
    if reading is None:
        words = "no reading yet"
    else:
        value = wording.reading_words(view.channel, reading, display)
        words = f"{value} at {clock.moment(reading.at, now, zone)}"
        if reading.status is not SignalStatus.GOOD:
            words += f"; {wording.STATUS[reading.status]}"
        if view.silent:
            words += f"; silent for {clock.duration(now - reading.at)}"
    missed = "below its range" if view.misses < 0 else "above its range" if view.misses else ""
    role = Role.ALERT if missed and not view.silent else Role.STRONG
    limits = wording.range_words(quantity, view.range, display)
    who = wording.whose(view.range)
    return [
        *fact(quantity, f"{words}{f', {missed}' if missed else ''}", width, role),
        *fact("range", f"{limits}, {who}" if limits else "", width),
        *fact("clash", wording.clash(quantity, view.range, display), width, Role.CAUTION),
        *fact("sensor", wording.sensor_words(view, now, display), width),
    ]


def _curve(view: ChannelView, values: Values, display: Display) -> list[Line]:
    quantity = view.channel.quantity
    span = scale(values, quantity)
    if span is None:
        return []
    rows = chart(values, *span, rows=CHART_ROWS)
    top, bottom = (wording.value_words(quantity, end, display) for end in reversed(span))
    labels = [top, "last 24 h", *[""] * (CHART_ROWS - 3), bottom]
    return [
        (Part(pad(label, _LABEL - 1, right=True), Role.FAINT), Part(f" {row}"))
        for label, row in zip(labels, rows, strict=True)
    ]


def _makes(view: PlaceView, dairy: Dairy) -> list[list[Wheel]]:
    """The wheels of a place by make, oldest first."""
    makes: dict[int, list[Wheel]] = {}
    for number in view.wheels:
        makes.setdefault(dairy.wheels[number].make, []).append(dairy.wheels[number])
    return sorted(makes.values(), key=lambda wheels: (wheels[0].made_at, wheels[0].id))


def _residents(wheels: list[Wheel], now: float) -> str:
    first = wheels[0]
    stage = stage_of(first, now)
    doing = first.standing.value if stage is None else f"{stage.name}: {stage.care}"
    age = clock.duration(now - first.made_at - (now - first.made_at) % wording.MINUTE)
    name = number_words(wheel.id for wheel in wheels)
    return f"{name}, {first.style.name}, {age} old, {doing}"
