"""What a recorder needs of the place where it keeps things."""

from collections.abc import Iterable, Mapping
from typing import Any, Literal, Protocol

from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.brine.predicted import Predicted
from cavewatch.core.countdown import Countdown
from cavewatch.core.journal import Entry
from cavewatch.core.reading import Channel, Reading
from cavewatch.store import Bin


class Keeping(Protocol):
    """The store, or a memory that does as much of it as a rehearsal needs."""

    def changed(self) -> bool:
        """Whether somebody else wrote since the last call."""

    def entries(self, after: int = 0) -> list[Entry]:
        """The journal's entries with a higher number."""

    def latest(self) -> Mapping[Channel, Reading]:
        """The newest reading of each channel."""

    def alarms(self) -> Mapping[str, Alarm]:
        """Alarms as they stand, by key."""

    def countdowns(self) -> list[Countdown]:
        """As worked out last."""

    def bins(
        self, channel: Channel, width: Literal[60, 3600], since: float, until: float
    ) -> list[Bin]:
        """A channel rolled up by the minute or the hour."""

    def readings(self, channel: Channel, since: float, until: float) -> list[Reading]:
        """A channel's readings from before the start, by time."""

    def add_readings(self, readings: Iterable[Reading]) -> Any:
        """Keep readings."""

    def add_transitions(self, transitions: Iterable[Transition]) -> None:
        """Keep what alarms did."""

    def put_countdowns(self, countdowns: Iterable[Countdown]) -> None:
        """Make these the countdowns."""

    def brines(self) -> list[Predicted]:
        """Of the tubs that wheels are in, as worked out last."""

    def put_brines(self, brines: Iterable[Predicted]) -> None:
        """Make these the brines."""

    def put_doubts(self, doubts: Iterable[str]) -> None:
        """Make these what was measured and not believed, in words."""
