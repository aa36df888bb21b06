"""From readings to abnormal and normal: limits with deadband, on-delay and off-delay.

An edge is passed when the value is beyond it; the condition becomes abnormal
when it has stayed beyond for the whole on-delay. It becomes normal again when
the value has stayed inside by the deadband for the whole off-delay (the
direction is that of the building-automation standard's High_Limit, Low_Limit,
Deadband and Time_Delay; when both edges may differ, each has its own watch).

A value holds until the next one comes, so a delay may run out between two
readings: `due` says when, and `passed` lets that time pass. Beyond the age at
which a channel counts as silent nothing is known of it: `lost` starts its delays
anew, while what is abnormal stays so until a value has been seen inside.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from cavewatch.core.place import PlaceKind
from cavewatch.core.ranges import Edge, Range
from cavewatch.core.reading import Channel, Quantity

MINUTE = 60.0


class Side(StrEnum):
    """Which edge a watch looks at."""

    LOW_LOW = "low low"
    LOW = "low"
    HIGH = "high"
    HIGH_HIGH = "high high"

    @property
    def below(self) -> bool:
        """Whether the edge is a lower one."""
        return self in (Side.LOW, Side.LOW_LOW)


@dataclass(frozen=True, slots=True)
class Tuning:
    """How sensitive the watches of a channel are."""

    deadband: float
    """[the channel's unit]"""
    on_delay: float
    """[s]"""
    off_delay: float
    """[s]"""
    low_low: float | None = None
    """A second edge below the low one [the channel's unit]; None for that of the styles."""
    high_high: float | None = None
    """Likewise above."""
    urgent_delay: float = 2 * MINUTE
    """On-delay of low low and high high [s]."""
    rate: float | None = None
    """How fast the channel may change for a whole hour [the channel's unit per hour];
    None: as fast as it likes."""
    drift: bool = True
    """Whether the mean of 24 h is held against the range."""
    forecast: bool = True
    """Whether a crossing is foretold."""
    latching: bool = False
    """Whether the channel's limit alarms are held until they are reset."""

    def on(self, side: Side) -> float:
        """The on-delay of a side [s]."""
        return self.on_delay if side in (Side.LOW, Side.HIGH) else self.urgent_delay


Tunings = Mapping[Channel, Tuning]
"""What the config says, whole, by channel; others have the starting values of `tuning`."""


def tuning(kind: PlaceKind, quantity: Quantity) -> Tuning:
    """Starting values, chosen so that a compressor's cycle or an open door raises nothing.

    Judgement; the temperature deadband is 1 % of the range 0 to 30 degC, as
    EEMUA 191 and ISA-18.2 practice has it (from memory), and the humidity
    deadband is above a sensor's repeatability plus a wobble of 0.1 degC.
    """
    if quantity is Quantity.HUMIDITY:
        return Tuning(3.0, 20 * MINUTE, 5 * MINUTE, rate=8.0)
    if kind is PlaceKind.TUB:
        return Tuning(0.5, 30 * MINUTE, 5 * MINUTE, rate=2.0)
    return Tuning(0.3, 10 * MINUTE, 5 * MINUTE, rate=2.0)


def edge_of(limits: Range, side: Side, tuned: Tuning) -> Edge | None:
    """The edge that a side looks at; None where nobody sets one.

    A second edge of the tuning goes before that of the range.
    """
    match side:
        case Side.LOW:
            return limits.low
        case Side.HIGH:
            return limits.high
        case Side.LOW_LOW:
            value, ranged = tuned.low_low, limits.low_low
        case Side.HIGH_HIGH:
            value, ranged = tuned.high_high, limits.high_high
    return ranged if value is None else Edge(value, "config")


@dataclass(frozen=True, slots=True)
class Watch:
    """One edge of one channel."""

    abnormal: bool = False
    turning_since: float | None = None
    """Since when the value asks for the other state [s since 1970 UTC]; None if it does not."""


QUIET = Watch()


def due(watch: Watch, side: Side, tuned: Tuning) -> float:
    """When the watch changes if the value stays [s since 1970 UTC]; infinite if it does not."""
    if watch.turning_since is None:
        return math.inf
    return watch.turning_since + (tuned.off_delay if watch.abnormal else tuned.on(side))


def passed(watch: Watch, side: Side, at: float, tuned: Tuning) -> Watch:
    """The watch after time alone; the same object where nothing changed."""
    return Watch(not watch.abnormal) if due(watch, side, tuned) <= at else watch


def lost(watch: Watch) -> Watch:
    """The watch after a time of which nothing is known."""
    return watch if watch.turning_since is None else Watch(watch.abnormal)


def watched(
    watch: Watch, side: Side, limits: Range, value: float, at: float, tuned: Tuning
) -> Watch:
    """The watch after one more value; the same object where nothing changed.

    What has stayed for its delay up to `at` is settled before the value counts.
    """
    edge = edge_of(limits, side, tuned)
    if edge is None:
        return watch if watch == QUIET else QUIET
    watch = passed(watch, side, at, tuned)
    beyond = edge.value - value if side.below else value - edge.value
    wants_change = beyond <= -tuned.deadband if watch.abnormal else beyond > 0
    return turned(watch, side, wants_change, at, tuned)


def turned(watch: Watch, side: Side, wants_change: bool, at: float, tuned: Tuning) -> Watch:
    """The watch after a moment at which something does, or does not, ask for the other state."""
    if not wants_change:
        return lost(watch)
    if watch.turning_since is None:
        watch = Watch(watch.abnormal, at)
    return passed(watch, side, at, tuned)


def calm(
    watches: Iterable[tuple[Side, Watch]], limits: Range, tuned: Tuning
) -> tuple[float, float]:
    """The open interval of values of which none changes any of these watches; may be empty."""
    low, high = -math.inf, math.inf
    for side, watch in watches:
        if watch.turning_since is not None:
            return 0.0, 0.0
        edge = edge_of(limits, side, tuned)
        if edge is None:
            if watch.abnormal:
                return 0.0, 0.0
            continue
        # Beyond the edge where it is normal; inside by the deadband where it is abnormal.
        turn = tuned.deadband if watch.abnormal else 0.0
        if side.below is not watch.abnormal:
            low = max(low, edge.value + (turn if side.below else -turn))
        else:
            high = min(high, edge.value + (turn if side.below else -turn))
    return low, high
