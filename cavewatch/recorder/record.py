"""The temperature record of a place, as countdowns go by it."""

from cavewatch.core.place import Place
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.signal.record import SensorRecord
from cavewatch.recorder.keeping import Keeping

HOUR = 3600.0
DAY = 24 * HOUR
COOL = 12.0
"""Assumed where nothing measures the temperature of a tray or a rack [degC]."""


def record(
    store: Keeping, place: Place, sensor: SensorRecord, since: float, at: float
) -> tuple[list[float], list[float]]:
    """Times and temperatures from each time on, for `WarmthRecord`.

    Means by the minute over the last day, and by the hour before: a swing of 2 K either
    way within the hour puts the diffusion clock 0.2 % wrong. From now on the mean of the last
    day; the config's where nothing was measured.

    Args:
        store: with the readings.
        place: whose temperature it is.
        sensor: its checks, which correct what it sent.
        since: when the record is to begin [s since 1970 UTC].
        at: now [s since 1970 UTC].
    """
    channel = Channel(place.name, Quantity.TEMPERATURE)
    lately = max((at - DAY) // HOUR * HOUR, since)
    minutes = store.bins(channel, 60, lately, at)
    hours = [] if lately <= since else store.bins(channel, 3600, since - HOUR, lately)
    sent = [*(each for each in hours if each.at < lately), *minutes]
    bins = [each._replace(mean=each.mean + sensor.offset(each.mean, each.at)) for each in sent]
    if not bins:
        return [at], [COOL if place.brine is None else place.brine.temperature]
    last = bins[-len(minutes) :] if minutes else bins[-1:]
    ahead = sum(each.mean * each.n for each in last) / sum(each.n for each in last)
    past = [each for each in bins if each.at < at]
    return [each.at for each in past] + [at], [each.mean for each in past] + [ahead]
