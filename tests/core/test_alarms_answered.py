"""How fast alarms were answered, and what stood when a span began."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.answered import answered_figures
from cavewatch.core.alarms.carried import carried
from cavewatch.core.alarms.figures import DAY, HOUR, alarm_figures
from cavewatch.core.alarms.table import State, Trigger, after, legal

SAID = Explanation("invented", "invented", "invented", "invented", respond_hours=4.0)
PROCESS = (Trigger.ABNORMAL, Trigger.NORMAL, Trigger.ACKNOWLEDGE)


class Log:
    """Transitions as the table allows them, with the times that the engine keeps."""

    def __init__(self) -> None:
        self.transitions: list[Transition] = []
        self.alarms: dict[str, Alarm] = {}

    def __call__(self, key: str, at: float, trigger: Trigger) -> None:
        alarm = self.alarms.get(key, Alarm(key, State.NORM, Priority.LOW, at, SAID))
        before = alarm.state
        if not legal(before, trigger):
            return
        alarm = replace(alarm, state=after(before, trigger))
        if trigger is Trigger.ABNORMAL:
            alarm = replace(alarm, since=at, called=at)
        self.alarms[key] = alarm
        self.transitions.append(Transition(at, before, trigger, alarm))

    def standing(self) -> list[Alarm]:
        return [alarm for alarm in self.alarms.values() if alarm.state is not State.NORM]


def test_an_acknowledgement_is_timed_from_the_call_and_held_against_the_time_to_respond() -> None:
    log = Log()
    log("a", 0.0, Trigger.ABNORMAL)
    log("a", 600.0, Trigger.ACKNOWLEDGE)
    log("b", 0.0, Trigger.ABNORMAL)
    log("b", HOUR, Trigger.NORMAL)
    log("b", 5 * HOUR, Trigger.ACKNOWLEDGE)
    found = answered_figures(log.transitions, 0.0, DAY)
    assert (found.took, found.in_time, found.waiting) == ((600.0, 5 * HOUR), 1, 0)
    assert found.median == 5 * HOUR


def test_what_was_never_acknowledged_waits_even_when_it_passed() -> None:
    log = Log()
    log("a", 0.0, Trigger.ABNORMAL)
    log("a", 60.0, Trigger.NORMAL)
    log("b", 90.0, Trigger.ABNORMAL)
    found = answered_figures(log.transitions, 0.0, DAY)
    assert (found.took, found.waiting, found.median) == ((), 2, None)


def test_acknowledgements_from_before_the_span_are_not_counted() -> None:
    log = Log()
    log("a", 0.0, Trigger.ABNORMAL)
    log("a", 60.0, Trigger.ACKNOWLEDGE)
    assert answered_figures(log.transitions, HOUR, DAY).took == ()
    assert answered_figures(log.transitions, 0.0, 30.0).waiting == 1


def test_an_alarm_that_stood_before_the_span_is_carried_into_it() -> None:
    log = Log()
    log("a", 0.0, Trigger.ABNORMAL)
    log("a", 60.0, Trigger.ACKNOWLEDGE)
    log("a", 30 * HOUR, Trigger.NORMAL)
    log("b", HOUR, Trigger.ABNORMAL)
    since, until = 20 * HOUR, 40 * HOUR
    seen = [t for t in log.transitions if since <= t.at < until]
    found = alarm_figures([*carried(seen, log.standing(), since), *seen], since, until)
    assert found.total == 0
    assert set(found.stale) == {"a", "b"}
    assert found.standing == ("b",)


@given(
    st.lists(st.tuples(st.sampled_from("abc"), st.sampled_from(PROCESS)), max_size=30),
    st.integers(0, 30),
)
def test_a_span_with_what_is_carried_tells_what_the_whole_past_tells(
    events: list[tuple[str, Trigger]], begin: int
) -> None:
    log = Log()
    for number, (key, trigger) in enumerate(events):
        log(key, number * HOUR, trigger)
    since, until = begin * HOUR - 1800.0, 31 * HOUR
    seen = [t for t in log.transitions if since <= t.at]
    every = [*carried(seen, log.standing(), since), *seen]
    whole = alarm_figures(log.transitions, since, until)
    part = alarm_figures(every, since, until)
    assert set(part.standing) == set(whole.standing)
    assert part.raised == whole.raised
    assert answered_figures(every, since, until).waiting == (
        answered_figures(log.transitions, since, until).waiting
    )
