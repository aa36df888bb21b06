"""What the dashboard needs of the world: the picture to draw, and a journal to append to."""

from collections.abc import Callable
from typing import Protocol
from zoneinfo import ZoneInfo

from cavewatch.core.alarms.alarm import Transition
from cavewatch.core.dairy import Dairy
from cavewatch.core.journal import Act, Entry
from cavewatch.core.place import Place
from cavewatch.core.planner import Answer, Question
from cavewatch.core.reading import Channel
from cavewatch.core.record import MakeSheet, RawMilk
from cavewatch.core.series import Bins, Series
from cavewatch.core.style import StyleBook
from cavewatch.core.uptake import Cut, Uptake
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

    @property
    def start(self) -> float:
        """The log's first moment [s since 1970 UTC]."""

    @property
    def end(self) -> float:
        """The log's last moment [s since 1970 UTC]."""

    def pause(self) -> None:
        """Stop, or go on if stopped."""

    def faster(self) -> None:
        """To the next higher speed, if there is one."""

    def slower(self) -> None:
        """To the next lower speed, if there is one."""

    # The next three may take minutes. They are called in a thread, in which nothing else of
    # the desk is used meanwhile but `progress`, `now` and `stop`.

    def next_alarm(self) -> None:
        """Skip to the next alarm that calls, or to the end of the log."""

    def next_entry(self) -> None:
        """Skip to the next entry of the journal, or to the end of the log."""

    def go_to(self, at: float) -> None:
        """Go to a moment of the log [s since 1970 UTC], a later or an earlier one."""

    def stop(self) -> None:
        """End a skip where it has come to; called from another thread."""


class Desk(Protocol):
    """One dairy, live or replayed; called on the event loop."""

    @property
    def title(self) -> str:
        """Name of the dairy."""

    @property
    def zone(self) -> ZoneInfo:
        """In which people there read the time."""

    @property
    def display(self) -> Display:
        """The maker's units."""

    def switched(self, display: Display) -> None:
        """Show values, and tell alarms, in other units from now on, to this viewer."""

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

    def series(self, channel: Channel, bins: Bins) -> Series:
        """Lowest, mean and highest value of a channel in these bins, from roll-ups.

        Values are corrected by what checks of the sensor found.
        """

    def transitions(self, since: float, until: float) -> list[Transition]:
        """What the alarms did from `since` to before `until` [s since 1970 UTC], by time."""

    # The next three gather the facts at once, and give back the working out of them: that may
    # take seconds, is called in a thread, and uses nothing of the desk. What was worked out is
    # kept until facts change.

    def uptake(self, number: int) -> Callable[[], Uptake | None]:
        """How a wheel takes up salt; None for one whose salting is not on record.

        The working out raises CavewatchError, in one clear sentence, if it cannot be done.
        """

    def cut(self, number: int, at: float) -> Callable[[], Cut | None]:
        """A wheel cut through at a time [s since 1970 UTC]; likewise."""

    def plan(self, question: Question) -> Callable[[], Answer]:
        """What to do with wheels still to be salted, and what comes of it; likewise."""

    def make_sheet(self, number: int) -> Callable[[], MakeSheet]:
        """All that is on record of the make that a wheel is of; likewise.

        The working out reads years and is not kept. It raises CavewatchError for a wheel that
        is on no record.
        """

    def raw_milk(self, number: int) -> Callable[[], RawMilk | None]:
        """The days at warmth that raw milk asks for of a wheel; None where its milk asks for none.

        Likewise, but for hours of temperature only.
        """

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

    def entries(self) -> list[Entry]:
        """The whole journal, in the order of writing."""

    def next_wheel(self) -> int:
        """The lowest number that no wheel has had."""

    def notice(self) -> str:
        """What is wrong with the works and what to do, in one sentence or several joined by ' · '.

        Empty when all is well.
        """
