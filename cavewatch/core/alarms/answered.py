"""How fast alarms were answered: from the call to the acknowledgement.

The standard's figures that were read have no target for it; each alarm brings its own,
its time to respond.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from cavewatch.core.alarms.alarm import Transition
from cavewatch.core.alarms.table import CALLING, Trigger

_HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class AnsweredFigures:
    """The acknowledgements of one span, and what still waits for one."""

    took: tuple[float, ...]
    """From the call to the acknowledgement, the shortest first [s]."""
    in_time: int
    """How many of them came within the alarm's own time to respond."""
    waiting: int
    """Alarms that still wait at the end."""

    @property
    def median(self) -> float | None:
        """The middle one of what they took [s]; the longer of two; None where there is none."""
        return self.took[len(self.took) // 2] if self.took else None


def answered_figures(
    transitions: Iterable[Transition], since: float, until: float
) -> AnsweredFigures:
    """The acknowledgements given within a span.

    Args:
        transitions: by time; those from before the span tell what waited when it began.
        since: where the span begins [s since 1970 UTC].
        until: where it ends [s since 1970 UTC].
    """
    took: list[float] = []
    in_time = 0
    waiting: set[str] = set()
    for transition in transitions:
        if transition.at >= until:
            continue
        alarm = transition.alarm
        if alarm.state in CALLING:
            waiting.add(alarm.key)
        else:
            waiting.discard(alarm.key)
        if transition.trigger is Trigger.ACKNOWLEDGE and transition.at >= since:
            took.append(max(0.0, transition.at - alarm.called))
            in_time += took[-1] <= alarm.explanation.respond_hours * _HOUR
    return AnsweredFigures(tuple(sorted(took)), in_time, len(waiting))
