"""The alarm engine: one pure step from the alarms that stand and what is abnormal now."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.suppression import NONE, Suppressions
from cavewatch.core.alarms.table import RETURNS, SUPPRESSED, State, Trigger, after, legal
from cavewatch.core.journal import Acknowledged, Entry, Reset


@dataclass(frozen=True, slots=True)
class Condition:
    """Something abnormal at this moment."""

    key: str
    """Of its alarm; see Alarm.key."""
    priority: Priority
    explanation: Explanation
    place: str = ""
    """See Alarm.place."""
    latching: bool = False
    """See Alarm.latching."""
    takes_over: str = ""
    """Key of the alarm that foretold it: once that passed, this one calls in its place."""


def step(
    alarms: Mapping[str, Alarm],
    abnormal: Iterable[Condition],
    entries: Iterable[Entry],
    at: float,
    suppressed: Suppressions = NONE,
) -> tuple[dict[str, Alarm], tuple[Transition, ...]]:
    """The alarms after one look at the dairy, and what changed.

    Args:
        alarms: as they stood, by key; those in NORM may be left out.
        abnormal: everything that is abnormal now; what is not named is normal.
        entries: journal entries that count; an acknowledgement or a reset is for
            the alarm that called when it was given, so one from before the alarm last
            began to call does nothing.
        at: now [s since 1970 UTC].
        suppressed: what is shelved, out of service or suppressed by design.
    """
    looking = _Look(dict(alarms), at, [])
    now = {condition.key: condition for condition in abnormal}
    for entry in entries:
        if isinstance(entry.act, Acknowledged | Reset):
            alarm = looking.alarms.get(entry.act.alarm)
            # An alarm that called later than now did so before the clock was put back.
            if alarm is not None and (entry.at >= alarm.called or alarm.called > at):
                acknowledged = isinstance(entry.act, Acknowledged)
                looking.feed(alarm, Trigger.ACKNOWLEDGE if acknowledged else Trigger.RESET)
    for key, condition in now.items():
        known = looking.alarms.get(key)
        state = State.NORM if known is None else known.state
        if state is State.NORM:
            looking.alarms[key] = Alarm(
                key, state, condition.priority, at, condition.explanation, at,
                condition.place, condition.latching,
            )  # fmt: skip
    for alarm in list(looking.alarms.values()):
        looking.suppress(alarm, suppressed)
    for key, condition in now.items():
        looking.feed(looking.alarms[key], Trigger.ABNORMAL, condition)
    for key, alarm in list(looking.alarms.items()):
        if key not in now:
            looking.feed(alarm, Trigger.LATCH if alarm.latching else Trigger.NORMAL)
    for key, condition in now.items():
        foretold = looking.alarms.get(condition.takes_over)
        if foretold is not None and looking.alarms[key].state is State.UNACK:
            looking.feed(foretold, Trigger.TAKE_OVER)
    for alarm in list(looking.alarms.values()):
        looking.bring_back(alarm, suppressed)
    standing = {k: alarm for k, alarm in looking.alarms.items() if alarm.state is not State.NORM}
    return standing, tuple(looking.transitions)


@dataclass(slots=True)
class _Look:
    """What one step has come to so far; it never leaves the step."""

    alarms: dict[str, Alarm]
    at: float
    transitions: list[Transition]

    def feed(self, alarm: Alarm, trigger: Trigger, told: Condition | None = None) -> None:
        """Give an alarm an event, if that is legal and changes anything."""
        if not legal(alarm.state, trigger):
            return
        state, beneath = after(alarm.state, trigger), alarm.beneath
        if state in SUPPRESSED:
            held = beneath or State.NORM
            if not legal(held, trigger):
                return
            beneath = after(held, trigger)
        changed = replace(alarm, state=state, beneath=beneath)
        if told is not None:
            changed = replace(
                changed,
                since=self.at,
                called=self.at,
                priority=told.priority,
                explanation=told.explanation,
                latching=told.latching,
            )
        self._keep(alarm, trigger, changed)

    def suppress(self, alarm: Alarm, suppressed: Suppressions) -> None:
        """Into the suppression that is in force for the alarm, if it is not there already."""
        found = suppressed.of(alarm.key, alarm.place, self.at)
        if found is None:
            return
        trigger = SUPPRESSED[found.state]
        held = alarm.beneath or alarm.state
        until = None if found.state is State.OOSRV else found.until
        inside = replace(
            alarm,
            state=after(alarm.state, trigger),
            beneath=held,
            until=until,
            why=found.why,
        )
        if inside != alarm:
            self._keep(alarm, trigger, inside)

    def bring_back(self, alarm: Alarm, suppressed: Suppressions) -> None:
        """Out of a suppression that is over, to what the process now is."""
        if alarm.state not in SUPPRESSED or suppressed.of(alarm.key, alarm.place, self.at):
            return
        trigger = RETURNS[alarm.beneath or State.NORM]
        state = after(alarm.state, trigger)
        called = alarm.called if state is State.NORM else self.at
        back = replace(alarm, state=state, called=called, beneath=None, until=None, why="")
        self._keep(alarm, trigger, back)

    def _keep(self, before: Alarm, trigger: Trigger, alarm: Alarm) -> None:
        self.alarms[alarm.key] = alarm
        self.transitions.append(Transition(self.at, before.state, trigger, alarm))
