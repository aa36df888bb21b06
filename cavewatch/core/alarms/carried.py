"""What stood when a span began, told from the span alone, so that no older transition is needed."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.alarms.table import State, Trigger


def carried(
    transitions: Sequence[Transition], alarms: Iterable[Alarm], since: float
) -> list[Transition]:
    """How the alarms that stood at `since` came to stand, as transitions from before it.

    Args:
        transitions: those of the span, by time.
        alarms: as they stand at its end; they tell of what did not change in it.
        since: where it begins [s since 1970 UTC].
    """
    first: dict[str, tuple[State, Alarm]] = {}
    for transition in transitions:
        first.setdefault(transition.alarm.key, (transition.before, transition.alarm))
    for alarm in alarms:
        first.setdefault(alarm.key, (alarm.state, alarm))
    # One that calls again carries the new time; the old one is then not known any more.
    return sorted(
        (
            Transition(
                min(alarm.since, since - 1.0), State.NORM, Trigger.ABNORMAL, _in(alarm, state)
            )
            for state, alarm in first.values()
            if state is not State.NORM
        ),
        key=lambda transition: transition.at,
    )


def _in(alarm: Alarm, state: State) -> Alarm:
    return alarm if alarm.state is state else replace(alarm, state=state)
