"""The past of a place, asked of the desk: its curves, its ranges, what was done and what was wrong.

It is asked for again when a bin is over, an entry or an alarm came, or other bins are wanted.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from cavewatch.core.air import dew_point
from cavewatch.core.alarms.alarm import Transition
from cavewatch.core.dairy import Dairy, PlaceView
from cavewatch.core.errors import OutOfRangeError
from cavewatch.core.journal import Entry
from cavewatch.core.place_history import Ranges, place_history
from cavewatch.core.reading import Quantity
from cavewatch.core.series import Bins, Series, Values
from cavewatch.core.time_in_range import TimeInRange, time_in_range
from cavewatch.screens import wording
from cavewatch.screens.curves.marks import Mark
from cavewatch.screens.desk import Desk
from cavewatch.screens.lines import Role, clean
from cavewatch.units import Display

_FRESH = 20
"""The last bin is asked for again after this part of its length, but not within a minute."""
FINEST = 8_000
"""Time in range is judged in no more stretches than this."""


@dataclass(frozen=True, slots=True)
class Measured:
    """One quantity over the span."""

    series: Series
    low: Values
    """Lower edge of the range in each bin."""
    high: Values
    """Upper edge."""
    spent: TimeInRange


@dataclass(frozen=True, slots=True)
class Past:
    """What is shown of a place's past."""

    bins: Bins
    measured: dict[Quantity, Measured]
    """Temperature before humidity; what is not measured there is not in it."""
    dew_point: Values
    """From the means of each bin [degC]; empty where it is not known."""
    marks: tuple[Mark, ...]
    """What was done and what was wrong, by time."""


class Pasts:
    """Asks for a place's past, and keeps it for as long as it looks the same."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._key: object = None
        self._asked_at = 0.0
        self._kept: Past | None = None

    def of(self, view: PlaceView, dairy: Dairy, bins: Bins) -> Past:
        """The past of a place in these bins; what changes within a bin may be somewhat old."""
        alarms = tuple((alarm.key, alarm.since, alarm.abnormal) for alarm in dairy.alarms)
        entries = len(self._desk.entries())
        key = view.place.name, bins, entries, alarms, self._desk.display
        old = dairy.at - self._asked_at >= max(wording.MINUTE, bins.length / _FRESH)
        if self._kept is None or key != self._key or old or dairy.at < self._asked_at:
            self._kept = past(self._desk, view, dairy, bins)
            self._key, self._asked_at = key, dairy.at
        return self._kept


def past(desk: Desk, view: PlaceView, dairy: Dairy, bins: Bins) -> Past:
    """Ask for the past of a place in these bins."""
    now = dairy.at
    places = {place.name: place for place in desk.places}
    quantities = [item.channel.quantity for item in view.channels]
    history = place_history(
        view.place,
        quantities,
        desk.entries(),
        desk.styles,
        places,
        bins.since,
        now,
        # Looked up for the past, it would take too long for five years.
        lambda _: view.measured,
    )
    measured = {}
    for item in view.channels:
        quantity = item.channel.quantity
        ranges = history.ranges[quantity]
        fine = desk.series(item.channel, bins.finer(FINEST))
        measured[quantity] = Measured(
            fine.gathered(bins),
            *edges(ranges, bins),
            time_in_range(fine, ranges, now, partial(desk.series, item.channel)),
        )
    wrong = desk.transitions(bins.since, bins.until)
    marks = (*_done(history.entries, desk.display), *_wrong(wrong, view.place.name, dairy))
    return Past(bins, measured, _dew_points(measured), tuple(sorted(marks, key=lambda m: m.at)))


def edges(ranges: Ranges, bins: Bins) -> tuple[Values, Values]:
    """Both edges of the range that holds in the middle of each bin; None where there is none."""
    low: list[float | None] = []
    high: list[float | None] = []
    ahead = list(reversed(ranges))
    limits = None
    for middle in bins.middles:
        while ahead and ahead[-1][0] <= middle:
            limits = ahead.pop()[1]
        shown = limits is not None and not limits.clash
        low.append(limits.low.value if shown and limits and limits.low else None)
        high.append(limits.high.value if shown and limits and limits.high else None)
    return tuple(low), tuple(high)


def _dew_points(measured: dict[Quantity, Measured]) -> Values:
    if len(measured) < len(Quantity):
        return ()
    air = (measured[quantity].series.mean for quantity in Quantity)
    return tuple(_dew_point(*values) for values in zip(*air, strict=True))


def _dew_point(temperature: float | None, humidity: float | None) -> float | None:
    if temperature is None or humidity is None:
        return None
    try:
        return dew_point(temperature, humidity)
    except OutOfRangeError:
        return None


def _done(entries: Iterable[Entry], display: Display) -> Iterable[Mark]:
    for entry in entries:
        yield Mark(entry.at, clean(wording.act_words(entry.act, display)))


def _wrong(transitions: Iterable[Transition], place: str, dairy: Dairy) -> Iterable[Mark]:
    """Each time that an alarm of the place began to call; bright where it is abnormal yet."""
    since = {alarm.key: alarm.since for alarm in dairy.alarms if alarm.abnormal}
    for transition in transitions:
        alarm = transition.alarm
        if transition.raises and (alarm.place == place or alarm.key.startswith(f"{place}.")):
            standing = since.get(alarm.key) == alarm.since
            role = Role.ALERT if standing else Role.CAUTION
            yield Mark(transition.at, clean(alarm.explanation.what), "!", "!", role)
