"""What the dashboard needs of the world: the picture to draw, and a journal to append to."""

from typing import Protocol
from zoneinfo import ZoneInfo

from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Act, Entry
from cavewatch.core.place import Place
from cavewatch.core.reading import Channel
from cavewatch.core.style import StyleBook
from cavewatch.units import Display


class ReplayControls(Protocol):
    """The handles of a replay."""

    @property
    def speed(self) -> float:
        """Replayed seconds per second."""

    @property
    def running(self) -> bool:
        """False while paused."""

    @property
    def progress(self) -> float:
        """How much of the log has been replayed, 0 to 1."""

    @property
    def finished(self) -> bool:
        """True at the end of the log."""

    def pause(self) -> None:
        """Stop, or go on if stopped."""

    def faster(self) -> None:
        """To the next higher speed, if there is one."""

    def slower(self) -> None:
        """To the next lower speed, if there is one."""

    def next_alarm(self) -> None:
        """Skip to the next alarm that calls, or to the end of the log.

        May take seconds. Called in a thread, in which nothing else of the desk
        is used meanwhile.
        """


class Desk(Protocol):
    """One dairy, live or replayed. All but `next_alarm` is called on the event loop."""

    @property
    def title(self) -> str:
        """Name of the dairy."""

    @property
    def zone(self) -> ZoneInfo:
        """In which people there read the time."""

    @property
    def display(self) -> Display:
        """The maker's units."""

    @property
    def initials(self) -> str:
        """Put under entries unless others are typed."""

    @property
    def styles(self) -> StyleBook:
        """The style book."""

    @property
    def places(self) -> tuple[Place, ...]:
        """In the order of the config."""

    @property
    def replay(self) -> ReplayControls | None:
        """None when live."""

    def now(self) -> float:
        """The present, or the replayed moment [s since 1970 UTC]."""

    def picture(self) -> Dairy:
        """The present picture; cheap."""

    def changed(self) -> bool:
        """True if something is new since the last `picture()`; asked once a second."""

    def trend(self, channel: Channel, since: float, until: float, bins: int) -> list[float | None]:
        """Means of as many bins of equal length from `since` to `until`; None for an empty one."""

    def append(self, act: Act, at: float, by: str, *, typed: bool = False) -> Entry:
        """Write an entry; return once it is kept.

        Args:
            act: what happened.
            at: when [s since 1970 UTC].
            by: initials.
            typed: whether a person typed `at` by the clock on the wall, so that it stays
                when the machine's clock is set.

        Raises:
            CavewatchError: in one clear sentence, if it could not be kept.
        """

    def next_wheel(self) -> int:
        """The lowest number that no wheel has had."""

    def notice(self) -> str:
        """One line about the recorder or the replay; empty when all is well."""
