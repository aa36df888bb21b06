"""From readings to abnormal and normal: limits with deadband, on-delay and off-delay.

An edge is passed when the value is beyond it; the condition becomes abnormal
when it has stayed beyond for the whole on-delay. It becomes normal again when
the value has stayed inside by the deadband for the whole off-delay (the
direction is that of the building-automation standard's High_Limit, Low_Limit,
Deadband and Time_Delay; when both edges may differ, each has its own watch).
"""

from dataclasses import dataclass
from enum import StrEnum

from cavewatch.core.place import PlaceKind
from cavewatch.core.ranges import Range
from cavewatch.core.reading import Quantity

MINUTE = 60.0


class Side(StrEnum):
    """Which edge a watch looks at."""

    LOW = "low"
    HIGH = "high"


@dataclass(frozen=True, slots=True)
class Tuning:
    """How sensitive a watch is."""

    deadband: float
    """[the channel's unit]"""
    on_delay: float
    """[s]"""
    off_delay: float
    """[s]"""


def tuning(kind: PlaceKind, quantity: Quantity) -> Tuning:
    """Starting values, chosen so that a compressor's cycle or an open door raises nothing.

    Judgement; the temperature deadband is 1 % of the range 0 to 30 degC, as
    EEMUA 191 and ISA-18.2 practice has it (from memory), and the humidity
    deadband is above a sensor's repeatability plus a wobble of 0.1 degC.
    """
    if quantity is Quantity.HUMIDITY:
        return Tuning(3.0, 20 * MINUTE, 5 * MINUTE)
    if kind is PlaceKind.TUB:
        return Tuning(0.5, 30 * MINUTE, 5 * MINUTE)
    return Tuning(0.3, 10 * MINUTE, 5 * MINUTE)


@dataclass(frozen=True, slots=True)
class Watch:
    """One edge of one channel."""

    abnormal: bool = False
    turning_since: float | None = None
    """Since when the value asks for the other state [s since 1970 UTC]; None if it does not."""


def watched(
    watch: Watch, side: Side, limits: Range, value: float, at: float, tuned: Tuning
) -> Watch:
    """The watch after one more value; the same object where nothing changed."""
    edge = limits.low if side is Side.LOW else limits.high
    if edge is None:
        return watch if watch == Watch() else Watch()
    beyond = edge.value - value if side is Side.LOW else value - edge.value
    wants_change = beyond <= -tuned.deadband if watch.abnormal else beyond > 0
    if not wants_change:
        return watch if watch.turning_since is None else Watch(watch.abnormal)
    since = at if watch.turning_since is None else watch.turning_since
    if at - since >= (tuned.off_delay if watch.abnormal else tuned.on_delay):
        return Watch(not watch.abnormal)
    return watch if watch.turning_since is not None else Watch(watch.abnormal, since)
