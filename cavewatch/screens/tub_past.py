"""The strength of a tub's brine over time, with the tests on it."""

from collections.abc import Sequence

from cavewatch.core import journal
from cavewatch.core.brine.course import acts_on, course
from cavewatch.core.countdown import Span
from cavewatch.core.dairy import Dairy, PlaceView
from cavewatch.core.journal import BrineMeasured
from cavewatch.core.series import Bins
from cavewatch.core.wheel import Standing, fold
from cavewatch.screens import wording
from cavewatch.screens.curves import Curve, Plot, Point
from cavewatch.screens.desk import Desk
from cavewatch.screens.lines import Line, Part, Role, spread
from cavewatch.screens.place_curves import Shown
from cavewatch.screens.plan import NARROW
from cavewatch.units import Display

_LEAST = 2.0
"""The scale is never shorter than this [% w/w]."""


class Strengths:
    """The course of a tub's strength; it is kept for as long as it looks the same."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._key: object = None
        self._kept: tuple[Sequence[Span | None], tuple[Point, ...]] = ((), ())

    def of(
        self, view: PlaceView, dairy: Dairy, bins: Bins
    ) -> tuple[Sequence[Span | None], tuple[Point, ...]]:
        """Its strength at the end of each bin, and the tests of it."""
        entries = self._desk.entries()
        lifts = {
            number: dairy.countdowns[number].steps[-1].at.expected
            for number in view.wheels
            if number in dairy.countdowns and dairy.wheels[number].standing is Standing.IN_BRINE
        }
        key = view.place.name, bins, len(entries), lifts
        if key != self._key:
            places = {place.name: place for place in self._desk.places}
            every, _ = fold(entries, self._desk.styles, places)
            ends = [bins.since + (n + 1) * bins.length for n in range(bins.count)]
            times = [end for end in ends if end <= dairy.at]
            if len(times) < len(ends) and ends[len(times)] - bins.length <= dairy.at:
                times.append(dairy.at)
            found = course(view.place, entries, every, lifts, times)
            self._kept = found, _tests(view.place.name, self._desk)
            self._key = key
        return self._kept


def _tests(place: str, desk: Desk) -> tuple[Point, ...]:
    acts = acts_on(place, journal.standing(desk.entries()))
    return tuple(
        Point(at, act.strength)
        for at, act in acts
        if isinstance(act, BrineMeasured) and act.strength is not None
    )


def strength_shown(
    view: PlaceView,
    dairy: Dairy,
    bins: Bins,
    past: tuple[Sequence[Span | None], tuple[Point, ...]],
    cursor: float | None,
    display: Display,
    width: int,
) -> Shown:
    """Its chart: the strength with its range, what it shall be, the tests."""
    spans, tests = past
    spans = [*spans, *[None] * (bins.count - len(spans))]
    low, middle, high = (
        [None if span is None else getattr(span, end) for span in spans]
        for end in ("low", "expected", "high")
    )
    wanted = None if view.place.brine is None else view.place.brine.strength
    plot = Plot(
        bins=bins,
        curves=(Curve(middle, low, high),),
        show=display.strength,
        least=_LEAST,
        target=wanted,
        points=tests,
        cursor=cursor,
        bounds=(0.0, 30.0),
    )

    def at(index: int) -> str:
        span = spans[index]
        return "" if span is None else f"strength {wording.ranged(span, display.strength)}"

    return Shown(_heading(view, dairy, wanted, display, width), plot, at)


def _heading(
    view: PlaceView, dairy: Dairy, wanted: float | None, display: Display, width: int
) -> Line:
    life = view.life
    if life is None:
        return ()
    weak = any(a.key == f"{view.place.name} brine weak" and a.abnormal for a in dairy.alarms)
    left = [
        Part("strength  ", Role.FAINT),
        Part(display.strength(life.strength.expected), Role.ALERT if weak else Role.STRONG),
    ]
    if weak:
        left.append(Part(" WEAK", Role.ALERT))
    words = wording.ranged(life.strength, display.strength).partition(" (")[2]
    if words:
        left.append(Part(f"  ({words}"))
    if wanted is not None:
        left.append(Part(f"  wanted {display.strength(wanted)}", Role.FAINT))
    right = "" if life.litres is None else display.volume(life.litres)
    if width >= NARROW and life.measured:
        right = f"◆ tested   {right}"
    return spread(tuple(left), (Part(right, Role.FAINT),), width)
