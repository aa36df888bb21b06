"""What an alarm is: its state, and what it says to the maker."""

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Self

from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.errors import CavewatchError


class Priority(StrEnum):
    """Few, and most alarms low (IEC 62682: about 80 / 15 / 5 %)."""

    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


@dataclass(frozen=True, slots=True)
class Explanation:
    """What an alarm tells, in plain sentences without markup.

    Temperatures in it stand in braces, as `core.text.VALUE` has them, until it is `worded`.
    """

    what: str
    """What is wrong, with place and limit: 'lower cave is too dry: 84.1 %, at least 90 %'."""
    causes: str
    """Likely causes."""
    consequence: str
    """What happens to the cheese if nothing is done."""
    action: str
    """What to do."""
    respond_hours: float
    """Time to respond [h]."""
    how_far: str = ""
    """How far out: '6.0 % below it'; empty where there is nothing to measure."""
    others: str = ""
    """Who else is affected, besides those that `what` names."""

    def worded(self, told: Callable[[str], str]) -> Self:
        """The same in the units of who looks, which `told` puts into a text."""
        return dataclasses.replace(
            self,
            what=told(self.what),
            causes=told(self.causes),
            consequence=told(self.consequence),
            action=told(self.action),
            how_far=told(self.how_far),
        )


@dataclass(frozen=True, slots=True)
class Alarm:
    """One alarm as it stands."""

    key: str
    """Unique and stable, such as 'lower cave.humidity low' or 'wheel 14 lift late'."""
    state: State
    priority: Priority
    since: float
    """When it last became abnormal [s since 1970 UTC]."""
    explanation: Explanation
    called: float = 0.0
    """When it last began to call, by its cause or by coming back from suppression
    [s since 1970 UTC]; an acknowledgement from before that is not for it."""
    place: str = ""
    """The place whose air or brine it watches; empty for an alarm about something else."""
    latching: bool = False
    """True if it is held until it is reset."""
    beneath: State | None = None
    """While suppressed: the state that the process has led to meanwhile."""
    until: float | None = None
    """While suppressed: when that ends by itself [s since 1970 UTC]; None if it does not."""
    why: str = ""
    """While suppressed: the reason given."""

    @property
    def abnormal(self) -> bool:
        """Whether its cause was there at the last look, suppressed or not."""
        return (self.beneath or self.state) in (State.UNACK, State.ACKED)

    def worded(self, told: Callable[[str], str]) -> Self:
        """The same in the units of who looks; see `Explanation.worded`."""
        return dataclasses.replace(self, explanation=self.explanation.worded(told))


@dataclass(frozen=True, slots=True)
class Transition:
    """One change of state, kept for ever."""

    at: float
    """[s since 1970 UTC]"""
    before: State
    trigger: Trigger
    alarm: Alarm
    """The alarm after the change."""

    @property
    def raises(self) -> bool:
        """Whether it made the alarm call for somebody."""
        return self.alarm.state is State.UNACK and self.before is not State.UNACK

    def worded(self, told: Callable[[str], str]) -> Self:
        """The same in the units of who looks; see `Explanation.worded`."""
        return dataclasses.replace(self, alarm=self.alarm.worded(told))

    def placed(self, at: float, since: float | None, called: float | None) -> "Transition":
        """The same at other times [s since 1970 UTC]; None leaves one of the alarm's as it is."""
        alarm = self.alarm
        return dataclasses.replace(
            self,
            at=at,
            alarm=dataclasses.replace(
                alarm,
                since=alarm.since if since is None else since,
                called=alarm.called if called is None else called,
            ),
        )

    def to_plain(self) -> dict[str, Any]:
        """As JSON types."""
        return dataclasses.asdict(self)

    @classmethod
    def from_plain(cls, plain: dict[str, Any]) -> Self:
        """The transition that `to_plain` gave; raise CavewatchError for anything else."""
        try:
            alarm = plain["alarm"]
            beneath = alarm.get("beneath")
            return cls(
                at=plain["at"],
                before=State(plain["before"]),
                trigger=Trigger(plain["trigger"]),
                alarm=Alarm(
                    key=alarm["key"],
                    state=State(alarm["state"]),
                    priority=Priority(alarm["priority"]),
                    since=alarm["since"],
                    explanation=Explanation(**alarm["explanation"]),
                    called=alarm.get("called", alarm["since"]),
                    place=alarm.get("place", ""),
                    latching=alarm.get("latching", False),
                    beneath=State(beneath) if beneath else None,
                    until=alarm.get("until"),
                    why=alarm.get("why", ""),
                ),
            )
        except (AttributeError, KeyError, TypeError, ValueError) as fault:
            raise CavewatchError(f"a stored alarm cannot be read: {fault}") from fault
