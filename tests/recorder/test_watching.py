"""Readings to transitions along time, through the recorder: what must hold of limit alarms."""

import random
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from unittest import mock

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.config.texts import shipped
from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.alarms.engine import Condition
from cavewatch.core.alarms.limits import Side, Tuning
from cavewatch.core.alarms.table import State
from cavewatch.core.alarms.texts import Words
from cavewatch.core.journal import (
    Acknowledged,
    Act,
    Against,
    Entry,
    SensorChecked,
    Shelved,
    Suppressed,
)
from cavewatch.core.place import Place, PlaceKind
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.core.signal.health import Why
from cavewatch.core.style import Limits
from cavewatch.recorder import Recorder
from cavewatch.recorder.memory import Memory

CHANNEL = Channel("cave", Quantity.TEMPERATURE)
PLACE = Place("cave", PlaceKind.CAVE, {Quantity.TEMPERATURE: Limits(10.0, 14.0, "invented")})
AGE = 1000.0
ON, OFF, DEADBAND = 600.0, 300.0, 0.3
TUNED = Tuning(DEADBAND, ON, OFF, drift=False, forecast=False)
WORDS = Words(shipped(), lambda s: f"{s:g} s")
Value = float | None


class Tape:
    """Readings that are handed over when they are put in, and the clock that goes with them."""

    def __init__(self) -> None:
        self.now = 0.0
        self.waiting: list[Reading] = []

    def __call__(self) -> float:
        return self.now

    def take(self) -> list[Reading]:
        taken, self.waiting = self.waiting, []
        return taken


def readings(values: Iterable[tuple[float, Value]], channel: Channel = CHANNEL) -> list[Reading]:
    return [Reading(channel, at, value) for at, value in values]


class Left(Memory):
    """What another recorder left behind."""

    def __init__(self, memory: Memory) -> None:
        super().__init__(memory.entries())
        self.curves = memory.curves
        self._stood = {t.alarm.key: t.alarm for t in memory.transitions}

    def alarms(self) -> dict[str, Alarm]:
        """Those that stood."""
        return {k: alarm for k, alarm in self._stood.items() if alarm.state is not State.NORM}


class Cave:
    """A recorder on one cave."""

    def __init__(
        self,
        entries: Iterable[tuple[float, Act]] = (),
        tuned: Tuning = TUNED,
        after: "Cave | None" = None,
    ) -> None:
        """Start, perhaps where another recorder left off."""
        self.tape = Tape()
        self.happened: list[Transition] = []
        self.memory = Memory(Entry(n, at, at, "MK", act) for n, (at, act) in enumerate(entries, 1))
        if after is not None:
            self.tape.now = after.tape.now
            self.memory = Left(after.memory)
        self._recorder = Recorder(
            self.memory,
            [self.tape],
            self.tape,
            [PLACE],
            {CHANNEL: AGE},
            {},
            WORDS,
            {CHANNEL: tuned},
            refresh=1e12,
        )

    def give(self, found: Iterable[Reading], now: float) -> "Cave":
        self.tape.now = now
        self.tape.waiting = list(found)
        self.happened += self._recorder.step()
        return self

    def raised(self) -> list[tuple[float, str]]:
        return [
            (t.at, t.alarm.key)
            for t in self.happened
            if t.alarm.state is State.UNACK and t.before is not State.UNACK
        ]

    def of(self, key: str) -> list[tuple[float, State]]:
        return [(t.at, t.alarm.state) for t in self.happened if t.alarm.key == f"{CHANNEL} {key}"]


@contextmanager
def good_signal() -> Iterator[None]:
    """The properties are about limits: whatever the values are, the signal is good."""

    def good(signal: object, _: Reading, __: object) -> object:
        return signal, SignalStatus.GOOD, None

    with mock.patch("cavewatch.recorder.channel.health", good):
        yield


gaps = st.sampled_from([10.0, 60.0, 299.0, 300.0, 301.0, 599.0, 600.0, 601.0, 900.0, 1500.0])
values = st.sampled_from([8.0, 9.9, 10.0, 10.2, 10.3, 12.0, 13.7, 13.8, 14.0, 14.1, 16.0])
courses = st.lists(st.tuples(gaps, values), min_size=1, max_size=25)


def along(course: list[tuple[float, float]]) -> list[tuple[float, float]]:
    found, at = [], 0.0
    for gap, value in course:
        at += gap
        found.append((at, value))
    return found


def excursions(series: list[tuple[float, float]], side: Side) -> list[tuple[float, float]]:
    """Beginning and end of each stretch beyond an edge; a value holds until the next, or AGE."""
    found: list[tuple[float, float]] = []
    ends = [at for at, _ in series[1:]] + [float("inf")]
    for (at, value), following in zip(series, ends, strict=True):
        if not (value < 10.0 if side is Side.LOW else value > 14.0):
            continue
        until = min(following, at + AGE)
        if found and found[-1][1] == at:
            found[-1] = found[-1][0], until
        else:
            found.append((at, until))
    return found


def abnormal_at(cave: Cave, side: Side, at: float) -> bool:
    state = State.NORM
    for when, after in cave.of(side):
        if when <= at:
            state = after
    return state in (State.UNACK, State.ACKED)


def played(series: list[tuple[float, float]], batches: list[int] | None = None) -> Cave:
    """The whole course, in batches of so many readings and in one where none are given."""
    with good_signal():
        cave, rest = Cave(), readings(series)
        for size in batches or ():
            if rest[:size]:
                cave.give(rest[:size], rest[:size][-1].at)
            rest = rest[size:]
        return cave.give(rest, series[-1][0] + 2 * AGE)


@given(courses)
def test_no_alarm_without_an_excursion_as_long_as_its_on_delay(
    course: list[tuple[float, float]],
) -> None:
    series = along(course)
    cave = played(series)
    for side in (Side.LOW, Side.HIGH):
        for at, key in cave.raised():
            if key == f"{CHANNEL} {side}":
                assert any(
                    begun <= at - ON and at <= ended for begun, ended in excursions(series, side)
                )


@given(courses)
def test_no_excursion_as_long_as_its_on_delay_without_an_alarm(
    course: list[tuple[float, float]],
) -> None:
    series = along(course)
    cave = played(series)
    for side in (Side.LOW, Side.HIGH):
        for begun, ended in excursions(series, side):
            if ended - begun >= ON:
                assert abnormal_at(cave, side, begun + ON)


@given(courses, st.lists(st.integers(1, 6), max_size=25))
def test_what_comes_out_does_not_depend_on_how_readings_are_batched(
    course: list[tuple[float, float]], batches: list[int]
) -> None:
    series = along(course)
    one_by_one = played(series, [1] * len(series))
    assert played(series, batches).happened == one_by_one.happened
    assert played(series).happened == one_by_one.happened


@given(courses, st.integers(0, 2**32))
def test_late_and_repeated_readings_change_nothing(
    course: list[tuple[float, float]], seed: int
) -> None:
    series = along(course)
    rng = random.Random(seed)
    with good_signal():
        plain, mixed = Cave(), Cave()
        for n, reading in enumerate(readings(series)):
            plain.give([reading], reading.at)
            mixed.give([reading], reading.at)
            late = rng.choice(series[: n + 1])
            wrong = Reading(CHANNEL, late[0] - rng.choice([0.0, 5.0]), rng.choice([0.0, late[1]]))
            mixed.give([reading, wrong], reading.at)
    assert mixed.happened == plain.happened


@given(courses)
def test_never_two_alarms_of_one_kind_stand_on_one_channel(
    course: list[tuple[float, float]],
) -> None:
    state: dict[str, State] = {}
    for found in played(along(course)).happened:
        assert found.before is state.get(found.alarm.key, State.NORM)
        state[found.alarm.key] = found.alarm.state


def every(seconds: float, since: float, until: float, value: Value) -> list[Reading]:
    count = int((until - since) / seconds)
    return readings((since + n * seconds, value) for n in range(count))


def test_a_reading_from_the_future_changes_nothing_and_hides_nothing() -> None:
    cave = Cave()
    cave.give([*every(10, 0, 300, 12.0), *readings([(9e6, 99.0)])], 300.0)
    cave.give(every(10, 300, 1500, 15.0), 1500.0)
    assert cave.raised() == [(900.0, f"{CHANNEL} high")]


def test_after_the_clock_was_put_back_watching_goes_on() -> None:
    hour_ahead = 3600.0
    cave = Cave()
    cave.give(every(10, hour_ahead, hour_ahead + 300, 12.0), hour_ahead + 300)
    cave.give(every(10, 300, 2000, 15.0), 2000.0)
    assert cave.raised() == [(900.0, f"{CHANNEL} high")]


def test_a_leap_of_the_clock_ahead_is_a_silence_and_no_excursion() -> None:
    cave = Cave(tuned=Tuning(DEADBAND, 2 * AGE, OFF, drift=False, forecast=False))
    cave.give(every(10, 0, 300, 12.0), 300.0)
    cave.give(every(10, 300, 400, 15.0), 400.0)
    cave.give(every(10, 90_000, 90_500, 15.0), 90_500.0)
    assert cave.of("high") == []
    assert cave.of("silent") == [(1390.0, State.UNACK), (90_000.0, State.RTNUN)]


def test_a_gap_of_three_days_is_told_as_silence_and_the_delay_begins_anew_after_it() -> None:
    three_days = 3 * 86_400.0
    cave = Cave()
    cave.give(every(10, 0, 500, 15.0), 500.0)
    cave.give(every(10, three_days, three_days + 1000, 15.0), three_days + 1000)
    assert cave.of("silent") == [(1490.0, State.UNACK), (three_days, State.RTNUN)]
    assert cave.of("high")[0] == (600.0, State.UNACK)  # the last value held beyond the delay
    assert len(cave.of("high")) == 1  # and what stands is not hidden by the gap


def test_the_hour_that_summer_time_repeats_is_an_hour_like_any_other() -> None:
    # 25 October 2026, 02:00 in Dublin is shown twice; instants know nothing of it.
    end_of_summer = 1_792_890_000.0
    cave = Cave()
    cave.tape.now = end_of_summer - 3600
    cave.give([], end_of_summer - 3600)
    cave.give(
        [
            *every(10, end_of_summer - 3600, end_of_summer - 300, 12.0),
            *every(10, end_of_summer - 300, end_of_summer + 3600, 15.0),
        ],
        end_of_summer + 3600,
    )
    assert cave.of("high") == [(end_of_summer + 300, State.UNACK)]


def test_a_wall_time_that_is_told_twice_repeats_readings_and_changes_nothing() -> None:
    hour = every(10, 0, 3600, 12.0)
    cave = Cave().give(hour, 3600.0)
    again = [Reading(CHANNEL, reading.at, 19.0) for reading in hour]
    cave.give(again, 4400.0)
    assert cave.happened == []


def test_a_sensor_that_says_it_has_no_value_is_told_and_hides_no_alarm() -> None:
    cave = Cave()
    cave.give(every(10, 0, 700, 15.0), 700.0)
    cave.give(every(10, 700, 3000, None), 3000.0)
    assert cave.of("high") == [(600.0, State.UNACK)]
    assert cave.of("silent") == [(1690.0, State.UNACK)]


def test_a_doubtful_signal_feeds_no_limit_and_is_told_after_a_while() -> None:
    doubtful = SignalStatus.OUT_OF_SPECIFICATION, Why.NOISE

    def doubt(signal: object, reading: Reading, _: object) -> object:
        return (signal, *doubtful) if reading.at >= 300 else (signal, SignalStatus.GOOD, None)

    with mock.patch("cavewatch.recorder.channel.health", doubt):
        cave = Cave()
        cave.give(every(10, 0, 300, 12.0), 300.0)
        cave.give(every(10, 300, 3000, 19.0), 3000.0)
    assert cave.of("high") == []
    assert cave.of("unwatched") == [(900.0, State.UNACK)]
    assert cave.memory.curves[CHANNEL].values[-1] == 19.0


def test_a_short_doubt_is_not_told() -> None:
    def doubt(signal: object, reading: Reading, _: object) -> object:
        if 300 <= reading.at < 600:
            return signal, SignalStatus.OUT_OF_SPECIFICATION, Why.JUMP
        return signal, SignalStatus.GOOD, None

    with mock.patch("cavewatch.recorder.channel.health", doubt):
        cave = Cave().give(every(10, 0, 3000, 12.0), 3000.0)
    assert cave.happened == []


def test_an_acknowledged_alarm_ends_when_the_value_is_back() -> None:
    cave = Cave([(1000.0, Acknowledged(f"{CHANNEL} high"))])
    cave.give([*every(10, 0, 2000, 15.0), *every(10, 2000, 2500, 12.0)], 2500.0)
    assert cave.of("high") == [
        (600.0, State.UNACK),
        (1000.0, State.ACKED),
        (2300.0, State.NORM),
    ]


def test_a_shelf_ends_at_its_very_moment_whatever_the_readings_do() -> None:
    cave = Cave([(1000.0, Shelved(f"{CHANNEL} high", 2005.0))])
    cave.give(every(10, 0, 3000, 15.0), 3000.0)
    assert cave.of("high")[1:] == [(1000.0, State.SHLVD), (2005.0, State.UNACK)]


def test_cleaning_that_is_declared_raises_nothing_and_ends_by_itself() -> None:
    cave = Cave([(100.0, Suppressed("cave", 4000.0, "cleaning"))])
    cave.give([*every(10, 0, 3000, 15.0), *every(10, 3000, 5000, 12.0)], 5000.0)
    assert State.UNACK not in {state for _, state in cave.of("high")}
    assert cave.of("high")[-1] == (4000.0, State.NORM)


def test_a_compressors_cycle_and_a_door_raise_nothing_with_the_starting_values() -> None:
    rng = random.Random(7)
    day = []
    for n in range(8640):
        at = 10.0 * n
        cycle = 0.6 * ((at % 1200.0) / 1200.0 - 0.5)
        door = 4.0 if at % 14_400.0 < 300.0 else 0.0
        day.append((at, round(13.4 + cycle + door + rng.gauss(0, 0.02), 2)))
    with good_signal():
        cave = Cave(tuned=Tuning(0.3, 600.0, 300.0, rate=2.0)).give(readings(day), 86_400.0)
    assert cave.raised() == []


def test_a_slow_warming_is_foretold_before_it_is_raised() -> None:
    hours = readings((10.0 * n, 12.0 + 10.0 * n / 3600.0 * 0.5) for n in range(5 * 360))
    with good_signal():
        cave = Cave(tuned=Tuning(0.3, 600.0, 300.0)).give(hours, 5 * 3600.0)
    (first, ahead), (second, high) = cave.raised()
    assert (ahead, high) == (f"{CHANNEL} high forecast", f"{CHANNEL} high")
    assert cave.of("high forecast")[1:] == [(second, State.RTNUN), (second, State.NORM)]
    assert 3600.0 < second - first < 7200.0 + ON


@pytest.mark.parametrize("side", [Side.LOW_LOW, Side.HIGH_HIGH])
def test_the_outer_edges_call_sooner(side: Side) -> None:
    tuned = Tuning(DEADBAND, ON, OFF, 5.0, 20.0, drift=False, forecast=False)
    with good_signal():
        cave = Cave(tuned=tuned)
        cave.give(every(10, 0, 400, 4.0 if side.below else 21.0), 400.0)
    assert cave.raised() == [(120.0, f"{CHANNEL} {side}")]


def test_a_latching_channel_stays_after_it_is_normal() -> None:
    tuned = Tuning(DEADBAND, ON, OFF, drift=False, forecast=False, latching=True)
    cave = Cave(tuned=tuned)
    cave.give([*every(10, 0, 1000, 15.0), *every(10, 1000, 2000, 12.0)], 2000.0)
    assert cave.of("high")[-1] == (1300.0, State.LATCHED_UNACK)


@pytest.mark.parametrize(
    ("status", "why", "key"),
    [
        (SignalStatus.OUT_OF_SPECIFICATION, Why.STUCK, "unwatched"),
        (SignalStatus.MAINTENANCE, Why.CHECK_OLD, "check due"),
        (SignalStatus.GOOD, None, "high"),
    ],
)
def test_what_stands_goes_on_standing_over_a_restart_until_it_was_seen_to_end(
    status: SignalStatus, why: Why | None, key: str
) -> None:
    def told(signal: object, reading: Reading, _: object) -> object:
        return (signal, status, why) if reading.at < 2000 else (signal, SignalStatus.GOOD, None)

    with mock.patch("cavewatch.recorder.channel.health", told):
        before = Cave().give(every(10, 0, 2000, 15.0), 2000.0)
        assert (600.0, State.UNACK) in before.of(key)
        cave = Cave(after=before).give([], 2001.0)
        assert cave.happened == []
        cave.give(every(10, 2010, 3000, 12.0), 3000.0)
    assert [state for _, state in cave.of(key)] == [State.RTNUN]


@pytest.mark.parametrize("latching", [False, True])
def test_what_had_passed_before_a_restart_does_not_call_again(latching: bool) -> None:
    tuned = Tuning(DEADBAND, ON, OFF, drift=False, forecast=False, latching=latching)
    course = [*every(10, 0, 1000, 15.0), *every(10, 1000, 2000, 12.0)]
    before = Cave(tuned=tuned).give(course, 2000.0)
    cave = Cave(tuned=tuned, after=before).give(every(10, 2000, 3000, 12.0), 3000.0)
    assert cave.happened == []


def test_a_sensor_that_stood_still_over_a_restart_is_told_as_soon_as_without_it() -> None:
    alive = readings((10.0 * n, 12.0 + n % 2 / 10) for n in range(25 * 360))
    still = every(10, 25 * 3600, 29 * 3600, 12.5)
    whole = Cave().give([*alive, *still], 29 * 3600.0)
    before = Cave().give([*alive, *still[:360]], 26 * 3600.0)
    after = Cave(after=before).give(still[360:], 29 * 3600.0)
    assert len(whole.of("unwatched")) == 1
    assert whole.of("unwatched") == after.of("unwatched")


def test_trends_after_a_restart_go_on_from_corrected_readings() -> None:
    found = SensorChecked(str(CHANNEL), Against.ICE, -1.0, 1.0, 0.1, True)
    tuned = Tuning(DEADBAND, ON, OFF, rate=0.8)
    course = every(10, 0, 4 * 3600, 12.0)
    before = Cave([(0.0, found)], tuned).give(course[:720], 2 * 3600.0 - 10)
    cave = Cave(tuned=tuned, after=before).give(course[720:], 4 * 3600.0)
    assert cave.happened == []


def test_trends_go_on_from_the_stores_last_day_after_a_restart() -> None:
    tuned = Tuning(DEADBAND, ON, OFF)
    course = readings((10.0 * n, 12.0 + 10.0 * n / 3600.0 * 0.5) for n in range(4 * 360))
    with good_signal():
        whole = Cave(tuned=tuned).give(course, course[-1].at)
        ((told_at, key),) = whole.raised()
        assert key == f"{CHANNEL} high forecast"
        for stop in (told_at - 1800.0, told_at + 600.0):
            until = [reading for reading in course if reading.at <= stop]
            rest = [reading for reading in course if reading.at > stop]
            before = Cave(tuned=tuned).give(until, until[-1].at)
            cave = Cave(tuned=tuned, after=before).give(rest, rest[-1].at)
            ((again_at, same),) = (*before.raised(), *cave.raised())
            assert same == key
            assert abs(again_at - told_at) <= 600.0
            assert State.RTNUN not in {t.alarm.state for t in cave.happened}


def own(key: str, what: str = "the store is full") -> Condition:
    told = WORDS.explained("store full", what)
    return Condition(key, WORDS.texts["store full"].priority, told)


def test_what_is_abnormal_with_the_recorder_is_an_alarm_like_any_other() -> None:
    cave = Cave()
    recorder = cave._recorder

    for at, conditions, state in (
        (1.0, [own("store full")], State.UNACK),
        (2.0, [own("store full", "the store is full: other words")], State.UNACK),
        (3.0, [], State.RTNUN),
        (4.0, [own("store full")], State.UNACK),
    ):
        cave.tape.now = at
        cave.happened += recorder.step(conditions)
        assert recorder.alarms["store full"].state is state
    assert [(t.at, t.alarm.state) for t in cave.happened] == [
        (1.0, State.UNACK),
        (3.0, State.RTNUN),
        (4.0, State.UNACK),
    ]
    assert cave.memory.transitions == cave.happened


def test_readings_that_come_with_it_are_judged_before_it() -> None:
    cave = Cave(tuned=Tuning(DEADBAND, 0.0, 0.0, drift=False, forecast=False))
    cave.tape.now = 100.0
    cave.tape.waiting = readings([(50.0, 20.0)])

    happened = cave._recorder.step([own("store full")])

    assert [(t.at, t.alarm.key) for t in happened] == [
        (50.0, f"{CHANNEL} high"),
        (100.0, "store full"),
    ]


def test_the_picture_and_the_newest_readings_are_given_after_a_step() -> None:
    cave = Cave()
    assert cave._recorder.dairy is None

    cave.give(readings([(50.0, 12.0)]), 100.0)

    assert cave._recorder.dairy is not None
    assert cave._recorder.latest[CHANNEL].value == 12.0
