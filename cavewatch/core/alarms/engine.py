"""The alarm engine: one pure step from the alarms that stand and what is abnormal now."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger, after
from cavewatch.core.journal import Acknowledged, Entry


@dataclass(frozen=True, slots=True)
class Condition:
    """Something abnormal at this moment."""

    key: str
    """Of its alarm; see Alarm.key."""
    priority: Priority
    explanation: Explanation


def step(
    alarms: Mapping[str, Alarm],
    abnormal: Iterable[Condition],
    entries: Iterable[Entry],
    at: float,
) -> tuple[dict[str, Alarm], tuple[Transition, ...]]:
    """The alarms after one look at the dairy, and what changed.

    Args:
        alarms: as they stood, by key; those in NORM may be left out.
        abnormal: everything that is abnormal now; what is not named is normal.
        entries: journal entries that count; an acknowledgement is for the
            alarm that stood when it was given, so one from before the alarm last
            became abnormal does nothing.
        at: now [s since 1970 UTC].
    """
    now = {condition.key: condition for condition in abnormal}
    after_all = dict(alarms)
    transitions: list[Transition] = []

    def feed(alarm: Alarm, trigger: Trigger) -> None:
        state = after(alarm.state, trigger)
        if state is alarm.state:
            return
        since = at if trigger is Trigger.ABNORMAL else alarm.since
        changed = replace(alarm, state=state, since=since)
        after_all[alarm.key] = changed
        transitions.append(Transition(at, alarm.state, trigger, changed))

    for entry in entries:
        if isinstance(entry.act, Acknowledged):
            alarm = after_all.get(entry.act.alarm)
            if alarm is not None and entry.at >= alarm.since:
                feed(alarm, Trigger.ACKNOWLEDGE)
    for key, alarm in list(after_all.items()):
        if key not in now:
            feed(alarm, Trigger.NORMAL)
    for key, condition in now.items():
        known = after_all.get(key)
        state = State.NORM if known is None else known.state
        if after(state, Trigger.ABNORMAL) is not state:
            fresh = Alarm(key, state, condition.priority, at, condition.explanation)
            feed(fresh, Trigger.ABNORMAL)
    standing = {key: alarm for key, alarm in after_all.items() if alarm.state is not State.NORM}
    return standing, tuple(transitions)
