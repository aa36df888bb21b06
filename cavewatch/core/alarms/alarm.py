"""What an alarm is: its state, and what it says to the maker."""

import dataclasses
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
    """What an alarm tells, in plain sentences without markup."""

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


@dataclass(frozen=True, slots=True)
class Transition:
    """One change of state, kept for ever."""

    at: float
    """[s since 1970 UTC]"""
    before: State
    trigger: Trigger
    alarm: Alarm
    """The alarm after the change."""

    def to_plain(self) -> dict[str, Any]:
        """As JSON types."""
        return dataclasses.asdict(self)

    @classmethod
    def from_plain(cls, plain: dict[str, Any]) -> Self:
        """The transition that `to_plain` gave; raise CavewatchError for anything else."""
        try:
            alarm = plain["alarm"]
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
                ),
            )
        except (KeyError, TypeError, ValueError) as fault:
            raise CavewatchError(f"a stored alarm cannot be read: {fault}") from fault
