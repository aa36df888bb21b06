"""What the recorder asks of a source of readings, whatever stands behind it."""

from dataclasses import dataclass
from typing import Protocol

from cavewatch.core.reading import Reading


@dataclass(frozen=True, slots=True)
class SourceCondition:
    """How a source is, for people."""

    connected: bool
    """True while all its readings can come."""
    text: str
    """One sentence, fit to be shown."""
    heard_at: float | None
    """When the last good line came [s since 1970 UTC]; None before the first."""
    rejected: int
    """Lines that could not be read, or questions without a good answer, since the start."""


class Source(Protocol):
    """Something that gives readings; none of its methods blocks or raises on bad data."""

    name: str
    """Shown to people."""

    def start(self) -> None:
        """Begin; called once."""

    def take(self) -> list[Reading]:
        """Everything that came since the last call, oldest first."""

    def condition(self) -> SourceCondition:
        """How the source is now."""

    def close(self) -> None:
        """Let go of the port or the file; may be called at any time."""
