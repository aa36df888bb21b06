"""The last 24 h of channels, for the small curves beside their values."""

from collections.abc import Iterable

from cavewatch.core.dairy import PlaceView
from cavewatch.core.reading import Channel
from cavewatch.core.series import Bins, Values
from cavewatch.screens.desk import Desk
from cavewatch.screens.wording import MINUTE

DAY = 86400.0


class Trends:
    """Asks the desk once a minute and keeps what it said."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._fetched: dict[tuple[Channel, int], tuple[float, Values]] = {}

    def of(self, views: Iterable[PlaceView], cells: int) -> dict[Channel, Values]:
        """Two bins a cell for all channels of these places, at fixed times."""
        return {
            item.channel: self._trend(item.channel, 2 * cells)
            for view in views
            for item in view.channels
        }

    def _trend(self, channel: Channel, bins: int) -> Values:
        minute = self._desk.now() // MINUTE
        fetched = self._fetched.get((channel, bins))
        if fetched is None or fetched[0] != minute:
            found = Bins.before(self._desk.now(), DAY, bins)
            fetched = minute, self._desk.series(channel, found).mean
            self._fetched[channel, bins] = fetched
        return fetched[1]
