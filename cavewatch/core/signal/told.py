"""What is known of a sensor's checks, in words."""

from collections.abc import Callable

from cavewatch.core.journal import Against, SensorChecked
from cavewatch.core.reading import Reading, SignalStatus
from cavewatch.core.signal.record import SensorRecord

_DAY = 86_400.0
_STATUS = {
    SignalStatus.GOOD: "good",
    SignalStatus.FAILURE: "failure",
    SignalStatus.CHECK: "function check",
    SignalStatus.OUT_OF_SPECIFICATION: "out of specification",
    SignalStatus.MAINTENANCE: "maintenance required",
}
"""NAMUR NE 107."""


def status_words(newest: Reading | None, silent: bool) -> str:
    """How a channel's signal stands: 'good', 'S out of specification', 'F failure, silent'."""
    if silent or newest is None:
        return f"{SignalStatus.FAILURE} failure, silent"
    letter = "" if newest.status is SignalStatus.GOOD else f"{newest.status} "
    return letter + _STATUS[newest.status]


def told(record: SensorRecord, at: float, difference: Callable[[float], str]) -> str:
    """'checked 12 days ago: reads 1.5 % low, corrected', or 'never checked'.

    Args:
        record: of the sensor.
        at: now [s since 1970 UTC].
        difference: a difference of the channel's values in the maker's units.
    """
    calibration = record.calibration(at)
    if calibration is None:
        return "never checked"
    days = int((at - calibration.at) // _DAY)
    when = f"{days} day{'' if days == 1 else 's'} ago" if days else "less than a day ago"
    found = "; ".join(verdict(point, difference) for point in calibration.points)
    return f"checked {when}: {found}"


def verdict(found: SensorChecked, difference: Callable[[float], str]) -> str:
    """'over table salt it reads 1.5 % low, corrected'."""
    over = "in ice" if found.against is Against.ICE else f"over {found.against}"
    if abs(found.offset) <= found.error and found.fit:
        return f"{over} it reads true within {difference(found.error)}"
    side = "low" if found.offset > 0 else "high"
    end = "corrected" if found.fit else "unfit: replace it"
    return f"{over} it reads {difference(abs(found.offset))} {side}, {end}"
