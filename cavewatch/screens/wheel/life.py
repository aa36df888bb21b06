"""A wheel's life as a line: made, in, turned, lifted, cave, ready."""

from collections.abc import Iterator
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.countdown import Action, Countdown
from cavewatch.core.place import PlaceKind
from cavewatch.core.stages import DAY
from cavewatch.core.wheel import Event, Standing, Wheel
from cavewatch.screens.lines import Line, Part, Role, pad

_GAP = 2
_LONGEST = 16
"""Stations stand no further apart, so that the line can be taken in at a glance [cells]."""


@dataclass(frozen=True, slots=True)
class Station:
    """Something that happens once in a wheel's life."""

    name: str
    at: float | None
    """[s since 1970 UTC]; None where it is not known."""
    done: bool
    late: bool = False


def stations(wheel: Wheel, countdown: Countdown | None, now: float) -> list[Station]:
    """What happened, and what is to come, in order."""
    found = [Station("made", wheel.made_at, True), *_salting(wheel, countdown, now)]
    cave = next((stay.at for stay in wheel.stays if stay.kind is PlaceKind.CAVE), None)
    if cave is not None or wheel.standing is not Standing.ENDED:
        found.append(Station("cave", cave, cave is not None))
    if wheel.standing is Standing.ENDED:
        found.append(Station("ended", None, True))
    elif wheel.style.ready_days is not None:
        ready = wheel.made_at + wheel.style.ready_days.value * DAY
        found.append(Station("ready", ready, ready <= now))
    return found


def _salting(wheel: Wheel, countdown: Countdown | None, now: float) -> Iterator[Station]:
    if not wheel.history:
        yield Station("salted", None, True)
        return
    yield Station("in", wheel.history[0].at, True)
    turned = [each.at for each in wheel.history if each.event is Event.TURNED]
    steps = {} if countdown is None else {s.action: s.at.expected for s in countdown.steps[::-1]}
    if Action.TURN in steps:
        yield Station("turn", steps[Action.TURN], False, steps[Action.TURN] < now)
    elif turned:
        yield Station("turned", turned[-1], True)
    if wheel.salted_out_at is not None:
        yield Station("lifted", wheel.salted_out_at, True)
    elif wheel.standing is not Standing.ENDED:
        lift = steps.get(Action.LIFT)
        yield Station("lift", lift, False, lift is not None and lift < now)


def life_lines(
    every: list[Station], now: float, zone: ZoneInfo, width: int, ascii_only: bool
) -> list[Line]:
    """Signs on a line, the names under them and, where there is room, the times."""
    times = [_when(each, now, zone) for each in every]
    roomy = max(len(text) for text in [*times, *(s.name for s in every)]) + _GAP
    spaced = roomy * len(every) <= width + _GAP
    if spaced:
        share = min(_LONGEST, (width + _GAP) // len(every))
        cells = [share] * len(every)
    else:
        cells = [len(each.name) + 1 for each in every]
    rows: list[list[Part]] = [[], [], []]
    for index, (station, size, time) in enumerate(zip(every, cells, times, strict=True)):
        role = Role.ALERT if station.late else Role.STRONG if station.done else Role.FAINT
        last = index == len(every) - 1
        ahead = not last and every[index + 1].done
        line = ("=" if ascii_only else "━") if ahead else "-" if ascii_only else "╌"
        rows[0] += [
            Part(_sign(station, ascii_only), role),
            Part(" " * (size - 1) if last else line * (size - 1), Role.FAINT),
        ]
        rows[1].append(Part(pad(station.name, size), role))
        rows[2].append(Part(pad(time, size), Role.FAINT))
    return [tuple(row) for row in (rows if spaced else rows[:2])]


def _sign(station: Station, ascii_only: bool) -> str:
    if station.late:
        return "!"
    if ascii_only:
        return "#" if station.done else "o"
    return "●" if station.done else "○"


def _when(station: Station, now: float, zone: ZoneInfo) -> str:
    if station.at is None:
        return ""
    there = clock.local(station.at, zone)
    near = abs((there.date() - clock.local(now, zone).date()).days) < 7
    return f"{'' if station.done else '~'}{there:%a %H:%M}" if near else _date(station, zone)


def _date(station: Station, zone: ZoneInfo) -> str:
    assert station.at is not None
    there = clock.local(station.at, zone)
    return f"{'' if station.done else '~'}{there.day} {there:%b}"
