"""What is abnormal in the dairy, with what each alarm has to say about it.

Priorities follow the standard's advice that most alarms be low: high only
where wheels are spoiled within hours. The texts are common practice, no
source, unless a source is named beside them.
"""

from collections.abc import Callable, Mapping

from cavewatch.core.alarms.alarm import Explanation, Priority
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.limits import Side
from cavewatch.core.countdown import Action, Countdown
from cavewatch.core.due import Task
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.ranges import Range
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.core.urgent import wheel_words

Show = Callable[[Quantity, float], str]
"""A value in the maker's own units."""

_AIR: dict[tuple[Quantity, Side], tuple[str, Priority, str, str, str, float]] = {
    (Quantity.TEMPERATURE, Side.HIGH): (
        "too warm",
        Priority.MEDIUM,
        "cooling off, iced up or too weak for a warm day; a door left open; warm wheels brought in",
        "ripening runs ahead and unevenly, fat may sweat out, unwanted moulds gain",
        "shut the door, look at the cooling unit, move the most delicate wheels to a cooler place",
        4,
    ),
    (Quantity.TEMPERATURE, Side.LOW): (
        "too cold",
        Priority.LOW,
        "thermostat set too low or stuck, cold weather, the probe in the cold air stream",
        "ripening stops; below 35 °F (1.7 °C) time does not count towards the 60 days that "
        "21 CFR 133 asks of raw-milk cheese",
        "check the thermostat and where the probe hangs",
        12,
    ),
    (Quantity.HUMIDITY, Side.LOW): (
        "too dry",
        Priority.MEDIUM,
        "humidifier empty or off, a door left open, a fan blowing on the wheels, cold dry weather",
        "rinds dry and crack, washed rinds stop working, wheels lose weight",
        "fill the humidifier, shut the door, wet the floor, cover the most delicate wheels",
        4,
    ),
    (Quantity.HUMIDITY, Side.HIGH): (
        "too damp",
        Priority.LOW,
        "humidifier stuck on, warm wheels brought in, a wet sensor (it then reads near 100 % "
        "for hours), standing water",
        "rinds turn wet and slimy, black and grey moulds spread",
        "air the place, turn the humidifier down, dry the sensor and compare it with another",
        12,
    ),
}

_BRINE: dict[Side, tuple[str, Priority, str, str, str, float]] = {
    Side.HIGH: (
        "too warm",
        Priority.MEDIUM,
        "warm weather, warm wheels put in at once, cooling off",
        "salt goes in faster than planned (the countdowns follow) and the brine spoils sooner",
        "cool the brine; lift by the new countdown",
        4,
    ),
    Side.LOW: (
        "too cold",
        Priority.LOW,
        "thermostat set too low, cold weather",
        "salt goes in more slowly than planned (the countdowns follow)",
        "warm the brine, or lift by the new countdown",
        12,
    ),
}

LATE: dict[Action, tuple[float, float, Priority]] = {
    Action.TURN: (0.25, 1.0, Priority.MEDIUM),
    Action.LIFT: (0.10, 0.5, Priority.HIGH),
    Action.COAT: (0.25, 3.0, Priority.MEDIUM),
}
"""When lateness begins to cost something: after this part of the salting time so far
[-], but not before so many hours [h]; judgement. Salting the face late is a task only."""


def out_of_range(
    place: Place, channel: Channel, side: Side, limits: Range, value: float, show: Show
) -> Condition:
    """The condition of a channel that is beyond an edge, and why it matters there."""
    in_tub = place.kind is PlaceKind.TUB
    word, priority, causes, consequence, action, hours = (
        _BRINE[side] if in_tub else _AIR[channel.quantity, side]
    )
    edge = limits.low if side is Side.LOW else limits.high
    bound = "at least" if side is Side.LOW else "at most"
    wanted = f", {bound} {show(channel.quantity, edge.value)} for {edge.whose}" if edge else ""
    what = f"{place.name} is {word}: {show(channel.quantity, value)}{wanted}"
    return Condition(
        f"{channel} {side}", priority, Explanation(what, causes, consequence, action, hours)
    )


def silent(channel: Channel, last: Reading | None) -> Condition:
    """The condition of a channel from which nothing usable comes."""
    failed = last is not None and last.value is None
    what = (
        f"the sensor at {channel.place} gives no {channel.quantity}"
        if failed
        else f"nothing is heard of the {channel.quantity} at {channel.place}"
    )
    return Condition(
        f"{channel} silent",
        Priority.MEDIUM,
        Explanation(
            what,
            "cable pulled or wet, sensor without power, port taken by another program",
            "the place is not watched: heat or dry air there would go unnoticed",
            "check plug and cable; read a thermometer by hand until it is back",
            4,
        ),
    )


def clash(channel: Channel, limits: Range) -> Condition:
    """The condition of a place whose wheels want what cannot be had together."""
    return Condition(
        f"{channel} clash",
        Priority.LOW,
        Explanation(
            f"{channel.place}: {limits.clash}",
            "styles, or stages of ripening, that do not go together stand in one place",
            "one of them ripens badly whatever the place is set to",
            "move one of them, or set the place between the two and watch both",
            24,
        ),
    )


def late(
    task: Task, countdowns: Mapping[int, Countdown], now: float, words: Callable[[float], str]
) -> Condition | None:
    """The condition of a task whose lateness begins to cost something; None before that.

    Args:
        task: with its time.
        countdowns: by wheel.
        now: [s since 1970 UTC].
        words: a length of time [s] in words.
    """
    if task.action not in LATE:
        return None
    part, hours, priority = LATE[task.action]
    countdown = countdowns[task.wheels[0]]
    run = task.at.expected - countdown.started_at
    if task.late_by(now) < max(part * run, hours * 3600.0):
        return None
    who = wheel_words(task.wheels)
    salt, target = countdown.salt, countdown.target
    by_now = (
        f"about {salt.expected:.1f} % salt by now ({salt.low:.1f} to {salt.high:.1f}); "
        f"{task.style} wants {target.expected:g} % and no more than {target.high:g} %"
    )
    verb, consequence, action = {
        Action.TURN: (
            "turned",
            f"the face above the brine stays behind the rest; {by_now}",
            "turn now, salt the face that comes up, and go by the new countdown",
        ),
        Action.LIFT: (
            "lifted",
            f"salt goes on rising: {by_now}",
            "lift now, wipe, and let the wheel rest; taste before selling",
        ),
        Action.COAT: (
            "coated again",
            f"the rind dries without salt and moulds may take it; {by_now}",
            "coat now with the grams shown and go by the new countdown",
        ),
    }[task.action]
    what = f"{who} in {task.place} should have been {verb} {words(task.late_by(now))} ago"
    return Condition(
        f"{who} {task.action} late",
        priority,
        Explanation(what, "forgotten, or done and not entered", consequence, action, 1),
    )
