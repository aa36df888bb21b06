"""Readings: one quantity at one place, with the status of the signal that gave it.

The status letters are those of NAMUR NE 107 (F failure, C function check,
S out of specification, M maintenance required).
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Self

from cavewatch.core.errors import CavewatchError


class Quantity(StrEnum):
    """What a channel measures."""

    TEMPERATURE = "temperature"
    """Air or brine temperature [degC]."""
    HUMIDITY = "humidity"
    """Relative humidity over water [%]."""

    __hash__ = str.__hash__  # Every reading is looked up by its channel; an enum's own is slow.


class SignalStatus(StrEnum):
    """How far a reading can be trusted (NAMUR NE 107)."""

    GOOD = "good"
    FAILURE = "F"
    CHECK = "C"
    OUT_OF_SPECIFICATION = "S"
    MAINTENANCE = "M"


@dataclass(frozen=True, slots=True, order=True)
class Channel:
    """One quantity at one place."""

    place: str
    """Name of the place, as in the config."""
    quantity: Quantity
    """What is measured there."""

    @classmethod
    def named(cls, text: str) -> Self:
        """Parse 'lower cave.temperature'; raise CavewatchError if it is not of that form."""
        place, dot, quantity = text.rpartition(".")
        if not dot or not place or quantity not in tuple(Quantity):
            allowed = " or ".join(f"'PLACE.{quantity}'" for quantity in Quantity)
            raise CavewatchError(f"'{text}' names no channel; write {allowed}")
        return cls(place, Quantity(quantity))

    def __str__(self) -> str:
        return f"{self.place}.{self.quantity}"


@dataclass(frozen=True, slots=True)
class Reading:
    """A value that a source gave for a channel."""

    channel: Channel
    """Where it belongs."""
    at: float
    """When it was measured [s since 1970 UTC]."""
    value: float | None
    """The value in the channel's unit; None where the sensor said that it has none."""
    status: SignalStatus = SignalStatus.GOOD
    """Trust in the signal."""
    dated: bool = False
    """True if its time came with it, by another clock than this machine's."""


PLAUSIBLE: dict[Quantity, tuple[float, float]] = {
    Quantity.TEMPERATURE: (-40.0, 80.0),
    Quantity.HUMIDITY: (0.0, 105.0),
}
"""Values outside are a fault of the sensor, not weather in a cave. Judgement:
80 degC keeps out the 85 degC that a common one-wire probe reports after power-on;
humidity sensors may read a little above 100 % when wet."""


def judged(channel: Channel, at: float, value: float | None) -> Reading:
    """Make a reading from a raw value, marking what cannot be true as a failure.

    Humidity a little above 100 % is kept as 100 % with status S.
    """
    low, high = PLAUSIBLE[channel.quantity]
    if value is None or not math.isfinite(value) or not low <= value <= high:
        return Reading(channel, at, None, SignalStatus.FAILURE)
    if channel.quantity is Quantity.HUMIDITY and value > 100.0:
        return Reading(channel, at, 100.0, SignalStatus.OUT_OF_SPECIFICATION)
    return Reading(channel, at, value)
