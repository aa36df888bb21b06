"""Who is told of alarms, how, and when not; and the sign of life."""

from dataclasses import dataclass

from cavewatch.core.alarms.alarm import Priority

PLACEHOLDERS = (
    "dairy", "kind", "title", "text", "what", "action", "priority", "place", "count",
)  # fmt: skip
"""What may stand in braces in a notice's command; the recorder fills it in."""


@dataclass(frozen=True, slots=True)
class Quiet:
    """Hours of each day in which only some alarms call."""

    begin: int
    """[minutes since local midnight]"""
    end: int
    """[minutes since local midnight]; before `begin` if midnight lies between."""
    calling: frozenset[Priority]
    """The priorities that call all the same."""

    def holds(self, minute: int) -> bool:
        """Whether it is quiet at this minute of the local day."""
        if self.begin <= self.end:
            return self.begin <= minute < self.end
        return minute >= self.begin or minute < self.end


@dataclass(frozen=True, slots=True)
class Notice:
    """One way to tell one person."""

    name: str
    command: tuple[str, ...]
    """A program and its arguments, in which placeholders such as {what} stand; empty if a URL
    is given."""
    url: str
    """Of a service that the notices library knows; may hold secrets, so never shown. Empty if a
    command is given."""
    priorities: frozenset[Priority]
    """Of the alarms that are told."""
    after: float
    """How long an alarm must stand unacknowledged before it is told [s]."""
    repeat: float
    """How often one that stands unacknowledged is told again [s]; 0 for once."""
    quiet: Quiet | None = None

    @property
    def failed(self) -> str:
        """Key of the alarm that says this notice could not be sent."""
        return f"notice {self.name} failed"

    def may_call(self, priority: Priority, minute: int | None) -> bool:
        """Whether an alarm of this priority may be told at this minute of the local day.

        If the time is not known (None), nothing is held back: rather a call at night than none.
        """
        quiet = self.quiet
        if quiet is None or minute is None or priority in quiet.calling:
            return True
        return not quiet.holds(minute)


@dataclass(frozen=True, slots=True)
class Heartbeat:
    """A sign that the recorder keeps readings, for something else that misses it when it stops."""

    file: str
    """Touched each time; empty for none."""
    command: tuple[str, ...]
    """Run each time; empty for none."""
    every: float
    """[s]"""
