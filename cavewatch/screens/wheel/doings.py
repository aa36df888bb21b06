"""What was done with a wheel in salt, held against what was planned when it went in."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from cavewatch import clock
from cavewatch.core.countdown import Action, Span, Step
from cavewatch.core.uptake import Uptake
from cavewatch.core.wheel import Event, Happening, Wheel
from cavewatch.screens import wording
from cavewatch.screens.details import fact
from cavewatch.screens.lines import Line, Part, Role, fit, pad
from cavewatch.screens.plan import NARROW
from cavewatch.units import Display

_WHAT, _TIME = 18, 16
"""Cells of the columns."""
_NEAR = 5 * wording.MINUTE
"""What is done so near its time was done as planned [s]."""
_ASKED = {Action.TURN: "turned", Action.LIFT: "lifted"}
_DONE = {Event.TURNED: "turned", Event.OUT: "lifted"}


@dataclass(frozen=True, slots=True)
class Doing:
    """One thing that was planned, or done, or both."""

    what: str
    planned: Span | None = None
    """[s since 1970 UTC]"""
    done: float | None = None
    """[s since 1970 UTC]"""
    ahead: float | None = None
    """When it is to be done by now [s since 1970 UTC]; None once it was done."""
    dose: Span | None = None
    """Salt that was planned [g]."""
    grams: float | None = None
    """Salt that was put on [g]."""

    @property
    def time(self) -> float:
        """Where it stands among the others."""
        known = (self.done, self.ahead, None if self.planned is None else self.planned.expected)
        return next(at for at in known if at is not None)


def doings(wheel: Wheel, uptake: Uptake) -> list[Doing]:
    """All of them by time, the going in first."""
    begun = wheel.history[0]
    planned, ahead = _keyed(uptake.planned), _keyed(uptake.ahead)
    done = _done(wheel.history[1:])
    known = dict.fromkeys([*planned, *done])
    # Steps ahead are numbered from now on: what is left of the plan begins with the undone.
    rows = []
    for key in known:
        step, happening = planned.get(key), done.get(key)
        rows.append(
            Doing(
                what=key[0],
                planned=None if step is None else step.at,
                done=None if happening is None else happening.at,
                dose=None if step is None else step.grams,
                grams=happening.grams if happening and happening.event is Event.SALTED else None,
            )
        )
    rows = _with_ahead(rows, ahead.values(), uptake)
    rows.sort(key=lambda row: row.time)
    return [Doing("in", done=begun.at), *rows]


Key = tuple[str, int, int]
"""What, in which period between two turns, and as which of them."""


def _keyed(steps: Sequence[Step]) -> dict[Key, Step]:
    found: dict[Key, Step] = {}
    turns = 0
    for step in steps:
        if step.action is Action.TURN:
            turns += 1
            found["turned", turns, 0] = step
        elif step.action is Action.LIFT:
            found["lifted", 0, 0] = step
        elif step.action is Action.COAT:
            found["salted", 0, sum(key[0] == "salted" for key in found)] = step
        else:
            found["salted", turns, 0] = step
    return found


def _done(history: Iterable[Happening]) -> dict[Key, Happening]:
    found: dict[Key, Happening] = {}
    turns = 0
    for happening in history:
        if happening.event is Event.TURNED:
            turns += 1
            found["turned", turns, 0] = happening
        elif happening.event is Event.OUT:
            found["lifted", 0, 0] = happening
        elif happening.event is Event.SALTED:
            nth = sum(key[:2] == ("salted", turns) for key in found)
            found["salted", turns, nth] = happening
    return found


def _with_ahead(rows: list[Doing], ahead: Iterable[Step], uptake: Uptake) -> list[Doing]:
    """The rows with the times of what is left to do; what is no longer asked for has none."""
    left: dict[str, list[Step]] = {}
    for step in ahead:
        left.setdefault(_ASKED.get(step.action, "salted"), []).append(step)
    found = []
    for row in rows:
        steps = left.get(row.what, [])
        if row.done is None and steps:
            step = steps.pop(0)
            found.append(
                Doing(row.what, row.planned, None, step.at.expected, step.grams or row.dose)
            )
        elif row.done is not None or uptake.lifted_at is not None:
            found.append(row)
    found += [
        Doing(what, None, None, step.at.expected, step.grams)
        for what, steps in left.items()
        for step in steps
    ]
    return found


def doing_lines(
    wheel: Wheel, uptake: Uptake, now: float, zone: ZoneInfo, display: Display, width: int
) -> list[Line]:
    """The table, and why the lift has moved."""
    rows = doings(wheel, uptake)
    lines = list(_narrow(rows, now, zone, display, width))
    if width >= NARROW:
        lines = list(_wide(rows, now, zone, display, width))
    if uptake.lifted_at is not None:
        words = _aimed(uptake, now, zone)
        lines += fact("by the model", words, width)
    return [*lines, *fact("why", display.told(uptake.shift), width, Role.CAUTION)]


def _wide(
    rows: Iterable[Doing], now: float, zone: ZoneInfo, display: Display, width: int
) -> Iterator[Line]:
    head = pad("what", _WHAT) + pad("planned", _TIME) + pad("done", _TIME) + "difference"
    yield (Part(head, Role.FAINT),)
    for row in rows:
        role = Role.PLAIN if row.done is not None else Role.FAINT
        yield fit(
            (
                Part(pad(_what(row, display), _WHAT), role),
                Part(pad(_planned(row, now, zone), _TIME), Role.FAINT),
                Part(pad(_when_done(row, now, zone), _TIME), role),
                *_difference(row, now, display),
            ),
            width,
        )


def _narrow(
    rows: Iterable[Doing], now: float, zone: ZoneInfo, display: Display, width: int
) -> Iterator[Line]:
    for row in rows:
        yield fit((Part(f"{_what(row, display)}  {_when_done(row, now, zone)}"),), width)
        if row.planned is not None:
            planned = Part(f"  planned {_planned(row, now, zone)}", Role.FAINT)
            yield fit((planned,), width)
            yield fit((Part("  "), *_difference(row, now, display)), width)


def _what(row: Doing, display: Display) -> str:
    what = row.what if row.done is not None else _TO_DO.get(row.what, row.what)
    if row.grams is not None:
        return f"{what} {display.mass(row.grams)}"
    if row.dose is not None and row.ahead is not None:
        return f"{what} {display.dose(row.dose)}"
    return what


_TO_DO = {"turned": "turn", "salted": "salt", "lifted": "lift"}


def _planned(row: Doing, now: float, zone: ZoneInfo) -> str:
    return "–" if row.planned is None else clock.moment(row.planned.expected, now, zone)


def _when_done(row: Doing, now: float, zone: ZoneInfo) -> str:
    if row.done is not None:
        return clock.moment(row.done, now, zone)
    return "not done" if row.ahead is None else f"~{clock.moment(row.ahead, now, zone)}"


def _difference(row: Doing, now: float, display: Display) -> Line:
    """How far from the plan, in time and in salt."""
    at = row.done if row.done is not None else row.ahead
    if row.done is None and row.ahead is not None and row.ahead <= now - wording.MINUTE:
        return (Part(wording.until(row.ahead, now), Role.ALERT),)
    if row.planned is None:
        return (Part("" if row.what == "in" else "not planned", Role.FAINT),)
    if at is None:
        return ()
    apart = at - row.planned.expected
    near = abs(apart) < _NEAR
    words = Part("as planned", Role.FAINT) if near else Part(wording.moved(apart))
    if row.grams is None or row.dose is None:
        return (words,)
    return words, Part(f" ({display.dose(row.dose)})", Role.FAINT)


def _aimed(uptake: Uptake, now: float, zone: ZoneInfo) -> str:
    """When a wheel that was lifted had the salt that it was to have."""
    low, expected, high = (
        clock.moment(at, now, zone)
        for at in (uptake.aimed.low, uptake.aimed.expected, uptake.aimed.high)
    )
    return f"it had its aim {expected} (earliest {low}, latest {high})"
