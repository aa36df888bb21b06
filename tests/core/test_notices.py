"""Notices: who is told of which alarm, when, and how often."""

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority
from cavewatch.core.alarms.table import CALLING, State
from cavewatch.core.errors import CavewatchError
from cavewatch.core.notices import CALM, Call, Kind, Ledger, Message, Notice, Quiet, sent, step

MINUTE, HOUR = 60.0, 3600.0
TEXT = Explanation("it is too dry", "a door", "rinds crack", "shut it", 4)
PHONE = Notice(
    name="phone",
    command=("ring",),
    url="",
    priorities=frozenset({Priority.MEDIUM, Priority.HIGH}),
    after=0.0,
    repeat=HOUR,
)
NIGHT = Quiet(22 * 60, 6 * 60, frozenset({Priority.HIGH}))
STANDING = (State.UNACK, State.ACKED, State.LATCHED_UNACK, State.LATCHED_ACKED)


def alarm(
    state: State = State.UNACK,
    called: float = 0.0,
    priority: Priority = Priority.MEDIUM,
    key: str = "cave dry",
    beneath: State | None = None,
) -> Alarm:
    return Alarm(key, state, priority, called, TEXT, called, beneath=beneath)


class Maker:
    """One notice over time, to a telephone that works."""

    def __init__(self, notice: Notice = PHONE) -> None:
        self.notice, self.ledger = notice, Ledger()

    def look(self, at: float, *alarms: Alarm, minute: int | None = 12 * 60) -> Message | None:
        self.ledger, message = step(self.notice, self.ledger, alarms, at, minute)
        if message is not None:
            self.ledger = sent(self.ledger, message, at)
        return message

    def kinds(self, at: float, *alarms: Alarm, minute: int | None = 12 * 60) -> Kind | None:
        message = self.look(at, *alarms, minute=minute)
        return None if message is None else message.kind


def test_an_alarm_is_told_once_then_again_until_it_is_acknowledged_then_called_off_once() -> None:
    maker = Maker()
    assert maker.look(10.0, alarm()) == Message(
        Kind.ALARM, (alarm(),), {"cave dry": Call(0.0, due=True)}
    )
    assert maker.look(HOUR, alarm()) is None
    assert maker.kinds(HOUR + 10.0, alarm()) is Kind.AGAIN
    assert maker.look(3 * HOUR, alarm(State.ACKED)) is None
    assert maker.look(4 * HOUR) is None
    assert maker.look(4 * HOUR + CALM - 1.0) is None
    assert maker.kinds(4 * HOUR + CALM) is Kind.WELL
    assert maker.look(5 * HOUR) is None


def test_a_notice_without_repeat_tells_once() -> None:
    maker = Maker(replace(PHONE, repeat=0.0))
    told = [maker.look(hour * HOUR, alarm()) for hour in range(100)]
    assert [message.kind for message in told if message] == [Kind.ALARM]


def test_what_passes_by_itself_within_the_delay_is_never_told() -> None:
    maker = Maker(replace(PHONE, after=5 * MINUTE))
    assert maker.look(0.0, alarm()) is None
    assert maker.look(4 * MINUTE, alarm(State.RTNUN)) is None
    assert maker.look(9 * HOUR, alarm(State.RTNUN)) is None


def test_an_alarm_that_comes_and_goes_is_one_call_and_is_told_after_the_delay() -> None:
    maker = Maker(replace(PHONE, after=5 * MINUTE))
    told = []
    for minute in range(20):
        state = State.RTNUN if minute % 2 else State.UNACK
        told.append(maker.look(minute * MINUTE, alarm(state, called=minute * MINUTE)))
    assert [index for index, message in enumerate(told) if message] == [6]


def test_an_alarm_that_comes_back_after_all_was_well_is_told_anew() -> None:
    maker = Maker(replace(PHONE, repeat=0.0))
    assert maker.kinds(0.0, alarm()) is Kind.ALARM
    assert maker.look(60.0, alarm(State.RTNUN)) is None
    assert maker.kinds(60.0 + CALM, alarm(State.RTNUN)) is Kind.WELL
    assert maker.look(HOUR, alarm(State.RTNUN)) is None
    assert maker.kinds(2 * HOUR, alarm(called=2 * HOUR)) is Kind.ALARM


def test_what_one_priority_says_is_not_told_to_who_wants_another() -> None:
    maker = Maker()
    assert maker.look(10.0, alarm(priority=Priority.LOW)) is None


@pytest.mark.parametrize("state", [State.SHLVD, State.DSUPR, State.OOSRV])
def test_a_suppressed_alarm_is_not_told_until_it_comes_back(state: State) -> None:
    maker = Maker()
    assert maker.look(10.0, alarm(state, beneath=State.UNACK)) is None
    assert maker.kinds(HOUR, alarm(State.UNACK, called=HOUR)) is Kind.ALARM


def test_alarms_of_one_moment_are_one_message_the_highest_first() -> None:
    maker = Maker()
    low, high = alarm(key="a"), alarm(key="b", priority=Priority.HIGH)
    message = maker.look(0.0, low, high)
    assert message is not None
    assert message.alarms == (high, low)


def test_quiet_hours_hold_back_all_but_what_calls_then_and_it_is_told_when_they_end() -> None:
    maker = Maker(replace(PHONE, quiet=NIGHT))
    assert maker.look(0.0, alarm(), minute=22 * 60) is None
    assert maker.kinds(60.0, alarm(priority=Priority.HIGH, key="b"), minute=1339) is Kind.ALARM
    night = Maker(replace(PHONE, quiet=NIGHT))
    urgent = alarm(priority=Priority.HIGH, key="b")
    assert night.kinds(60.0, alarm(), urgent, minute=0) is Kind.ALARM
    assert night.ledger.calls["cave dry"].told is None
    assert night.kinds(120.0, alarm(), urgent, minute=6 * 60) is Kind.ALARM
    assert night.ledger.calls["cave dry"].told == 120.0


def test_what_stood_and_passed_in_quiet_hours_is_told_in_the_morning_and_not_called_off() -> None:
    maker = Maker(replace(PHONE, quiet=NIGHT))
    assert maker.look(0.0, alarm(), minute=23 * 60) is None
    assert maker.look(HOUR, alarm(State.RTNUN), minute=0) is None
    assert maker.kinds(7 * HOUR, alarm(State.RTNUN), minute=6 * 60) is Kind.ALARM
    assert maker.look(9 * HOUR, alarm(State.RTNUN), minute=8 * 60) is None


def test_who_was_not_called_at_night_is_not_woken_by_all_is_well() -> None:
    maker = Maker(replace(PHONE, quiet=NIGHT))
    assert maker.kinds(0.0, alarm(), minute=21 * 60) is Kind.ALARM
    assert maker.look(HOUR, minute=22 * 60) is None
    assert maker.look(2 * HOUR, minute=23 * 60) is None
    assert maker.kinds(9 * HOUR, minute=6 * 60) is Kind.WELL


def test_who_was_called_at_night_is_let_sleep_when_all_is_well() -> None:
    maker = Maker(replace(PHONE, quiet=NIGHT))
    assert maker.kinds(0.0, alarm(priority=Priority.HIGH), minute=23 * 60) is Kind.ALARM
    assert maker.look(HOUR, minute=0) is None
    assert maker.kinds(2 * HOUR, minute=60) is Kind.WELL


def test_while_the_clock_is_not_sure_nothing_is_held_back() -> None:
    maker = Maker(replace(PHONE, quiet=NIGHT))
    assert maker.kinds(0.0, alarm(), minute=None) is Kind.ALARM


@pytest.mark.parametrize(
    ("begin", "end", "quiet"),
    [(22 * 60, 6 * 60, {1320, 1439, 0, 359}), (60, 120, {60, 119}), (0, 1439, {0, 720, 1438})],
)
def test_quiet_hours_hold_from_their_first_minute_to_before_their_last(
    begin: int, end: int, quiet: set[int]
) -> None:
    hours = Quiet(begin, end, frozenset())
    assert all(hours.holds(minute) for minute in quiet)
    assert not hours.holds(end)
    assert not hours.holds((begin - 1) % 1440)


def test_all_is_well_waits_for_what_is_shelved_and_names_what_is_out_of_service() -> None:
    maker = Maker()
    maker.look(0.0, alarm())
    assert maker.look(HOUR, alarm(State.SHLVD, beneath=State.ACKED)) is None
    out = alarm(State.OOSRV, beneath=State.UNACK)
    low = alarm(key="low", priority=Priority.LOW)
    assert maker.look(2 * HOUR, out, low) is None
    assert maker.look(3 * HOUR, out, low) == Message(Kind.WELL, (out, low))


def test_a_notice_does_not_tell_that_it_failed_itself() -> None:
    maker = Maker()
    assert maker.look(0.0, alarm(key=PHONE.failed)) is None
    assert Maker(replace(PHONE, name="mail")).kinds(0.0, alarm(key=PHONE.failed)) is Kind.ALARM


def test_a_message_counts_only_once_it_has_gone_out() -> None:
    ledger = Ledger()
    for at in (0.0, 60.0, 120.0):
        ledger, message = step(PHONE, ledger, [alarm()], at, None)
        assert message is not None
    assert message is not None
    # Acknowledged while it was under way: it is told all the same, and so called off.
    ledger, _ = step(PHONE, ledger, [alarm(State.ACKED)], 130.0, None)
    ledger = sent(ledger, message, 140.0)
    ledger, _ = step(PHONE, ledger, [], 150.0, None)
    ledger, well = step(PHONE, ledger, [], 150.0 + CALM, None)
    assert well is not None
    assert well.kind is Kind.WELL


def test_a_call_that_began_while_an_older_one_was_told_is_told_itself() -> None:
    ledger, message = step(PHONE, Ledger(), [alarm(called=5.0)], 10.0, None)
    assert message is not None
    ledger, _ = step(PHONE, ledger, [alarm(State.ACKED)], 20.0, None)
    ledger, _ = step(PHONE, ledger, [alarm(called=30.0)], 30.0, None)
    ledger = sent(ledger, message, 40.0)
    assert step(PHONE, ledger, [alarm(called=30.0)], 50.0, None)[1] is not None


def test_a_clock_put_back_delays_a_repetition_by_no_more_than_its_length() -> None:
    maker = Maker()
    assert maker.kinds(1e6, alarm(called=1e6)) is Kind.ALARM
    assert maker.look(1000.0, alarm(called=1e6)) is None
    assert maker.kinds(1000.0 + HOUR, alarm(called=1e6)) is Kind.AGAIN


@pytest.mark.parametrize(
    "plain",
    [
        {},
        7,
        {"calls": [], "owed": None, "calm": None},
        {"calls": {"a": 1}, "owed": None, "calm": None},
        {"calls": {}, "owed": None, "calm": 10**400},
        {"calls": {}, "owed": "loud", "calm": None},
    ],
)
def test_a_ledger_that_is_none_is_refused(plain: object) -> None:
    with pytest.raises(CavewatchError):
        Ledger.from_plain(plain)  # type: ignore[arg-type]


KEYS = ("a", "b")
STATES = st.sampled_from(State)
LOOKS = st.lists(
    st.tuples(
        st.sampled_from((1.0, MINUTE, 10 * MINUTE, HOUR)),
        st.tuples(*(STATES for _ in KEYS)),
        st.booleans(),
    ),
    min_size=1,
    max_size=30,
)
"""Time that passes, the alarms' states then, and whether the telephone works."""
NOTICES = st.builds(
    replace,
    st.just(PHONE),
    after=st.sampled_from((0.0, 5 * MINUTE, HOUR)),
    repeat=st.sampled_from((0.0, 30 * MINUTE, HOUR)),
    quiet=st.sampled_from((None, NIGHT)),
)


class World:
    """What a bystander notes down of alarms and of what is told."""

    def __init__(self, notice: Notice) -> None:
        self.notice, self.at = notice, 0.0
        self.steady: dict[str, float] = {}
        """Since when each alarm has been there and unacknowledged without a break."""
        self.told: dict[str, float] = {}
        """When each was last told since it began to wait for somebody."""
        self.round = False
        """Whether something that stood was told and not called off."""
        self.alarms: list[Alarm] = []
        self.calm: float | None = None
        """Since when nothing has stood, in a round."""

    def go(self, passed: float, states: tuple[State, ...]) -> None:
        self.at += passed
        self.alarms = []
        for key, state in zip(KEYS, states, strict=True):
            if state not in CALLING:
                self.told.pop(key, None)
            if state in (State.UNACK, State.LATCHED_UNACK):
                self.steady.setdefault(key, self.at)
            else:
                self.steady.pop(key, None)
            if state is not State.NORM:
                beneath = None if state in (*STANDING, State.RTNUN) else State.UNACK
                called = self.steady.get(key, self.at)
                self.alarms.append(alarm(state, called, key=key, beneath=beneath))

        if not self.round or self.keys(*STANDING, State.SHLVD, State.DSUPR):
            self.calm = None
        elif self.calm is None:
            self.calm = self.at

    def keys(self, *states: State) -> set[str]:
        return {each.key for each in self.alarms if each.state in states}

    @property
    def minute(self) -> int:
        return int(self.at // MINUTE) % 1440

    @property
    def wanting(self) -> set[str]:
        """What has stood long enough, and has not been told, or too long ago."""
        overdue = self.notice.repeat or float("inf")
        return {
            key
            for key, since in self.steady.items()
            if self.at - since >= self.notice.after
            and (key not in self.told or self.at - self.told[key] >= overdue)
        }

    def write_down(self, message: Message) -> None:
        self.told |= dict.fromkeys(message.calls, self.at)
        well = message.kind is Kind.WELL
        if well:
            self.told.clear()
        self.round = not well and (self.round or bool(self.keys(*STANDING) & set(message.calls)))


@given(NOTICES, LOOKS)
def test_over_any_course_of_alarms_the_right_ones_are_told(
    notice: Notice, looks: list[tuple[float, tuple[State, ...], bool]]
) -> None:
    ledger, world = Ledger(), World(notice)
    for passed, states, works in looks:
        world.go(passed, states)
        ledger, message = step(notice, ledger, world.alarms, world.at, world.minute)
        ledger = Ledger.from_plain(json.loads(json.dumps(ledger.to_plain())))  # a restart
        telling = set(message.calls) if message else set()
        quiet = not notice.may_call(Priority.MEDIUM, world.minute)
        # Nothing acknowledged or suppressed is told, and nothing too often.
        assert telling <= world.keys(*CALLING)
        for key in telling & world.told.keys():
            assert notice.repeat
            assert world.at - world.told[key] >= notice.repeat
        # What must be told is, at once, but not in quiet hours.
        assert message is None if quiet else world.wanting <= telling
        # All is well is told once for each round, when it is true, and not later.
        well = message is not None and message.kind is Kind.WELL
        calm = world.calm is not None and world.at - world.calm >= CALM
        assert calm or not well
        assert well or quiet or telling or not calm
        if message is not None and works:
            ledger = sent(ledger, message, world.at)
            world.write_down(message)
