"""Ranges, due work and the whole picture."""

from dataclasses import replace

import pytest

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority
from cavewatch.core.alarms.table import State
from cavewatch.core.countdown import Action, Countdown, Span, Step
from cavewatch.core.dairy import Dairy, picture
from cavewatch.core.due import tasks
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import (
    Against,
    BrineMeasured,
    Ended,
    Ending,
    Entry,
    Lifted,
    Made,
    SensorChecked,
    Turned,
)
from cavewatch.core.place import Place
from cavewatch.core.ranges import clash_words, range_of
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus, judged
from cavewatch.core.stages import DAY, stage_of
from cavewatch.core.style import Limits, Method, Style
from cavewatch.core.wheel import Standing, fold

WARM = Channel("near cave", Quantity.TEMPERATURE)
DAMP = Channel("near cave", Quantity.HUMIDITY)
BRINE = Channel("tub", Quantity.TEMPERATURE)
AGES = {WARM: 90.0, DAMP: 90.0, BRINE: 90.0}


def made(number: int, style: str = "meadow", place: str = "tub") -> Made:
    return Made((number,), style, Method.BRINE, 2500.0, place, salting_done=place != "tub")


def entries(*acts: tuple[float, object]) -> list[Entry]:
    return [Entry(n + 1, at, at, "MK", act) for n, (at, act) in enumerate(acts)]  # type: ignore[arg-type]


def countdown(wheel: int, *steps: Step, basis: int = 1) -> Countdown:
    none = Span(0, 0, 0)
    return Countdown(wheel, basis, 0.0, 0.0, none, Span(1.4, 1.8, 2.2), steps, "")


def at(time: float) -> Span:
    return Span(time, time, time)


@pytest.fixture
def draw(style: Style, places: dict[str, Place]):  # type: ignore[no-untyped-def]
    warmer = replace(
        style,
        id="sunny",
        name="Sunny",
        stages=(replace(style.stages[1], temperature=Limits(16, 18, "invented for the tests")),),
    )

    def run(now: float, journal: list[Entry], latest=(), alarms=(), countdowns=()) -> Dairy:  # type: ignore[no-untyped-def]
        return picture(
            now,
            places.values(),
            AGES,
            {"meadow": style, "sunny": warmer},
            journal,
            {reading.channel: reading for reading in latest},
            alarms,
            countdowns,
        )

    return run


def test_stages_follow_the_end_of_salting(style: Style, places: dict[str, Place]) -> None:
    journal = entries((0.0, made(1)), (DAY, Lifted((1,), "near cave")))
    wheels, _ = fold(journal, {"meadow": style}, places)
    names = {days: stage_of(wheels[1], (1 + days) * DAY).name for days in (0.1, 1.9, 2.1, 300)}  # type: ignore[union-attr]
    assert names == {0.1: "drying", 1.9: "drying", 2.1: "cave", 300: "cave"}


def test_a_place_has_the_range_of_the_wheels_in_it(draw) -> None:  # type: ignore[no-untyped-def]
    dairy = draw(10 * DAY, entries((0.0, made(1, place="near cave"))))
    cave = next(view for view in dairy.places if view.place.name == "near cave")
    limits = cave.channels[0].range
    assert (limits.low.value, limits.high.value) == (10, 13)
    assert limits.low.whose == "Meadow, cave"


def test_an_empty_place_keeps_the_configs_range(draw) -> None:  # type: ignore[no-untyped-def]
    gone = entries((0.0, made(1, place="near cave")), (1.0, Ended((1,), Ending.SOLD)))
    cave = next(view for view in draw(DAY, gone).places if view.place.name == "near cave")
    assert cave.channels[0].range.low.value == 8
    assert cave.channels[0].range.low.whose == "config"


def test_styles_that_do_not_go_together_are_named(draw) -> None:  # type: ignore[no-untyped-def]
    both = entries((0.0, made(1, place="near cave")), (0.0, made(2, "sunny", "near cave")))
    cave = next(view for view in draw(10 * DAY, both).places if view.place.name == "near cave")
    limits = cave.channels[0].range
    assert limits.clash
    words = clash_words(
        Quantity.TEMPERATURE, limits, lambda _, v: f"{v:g} °C", lambda _, v: f"{v:g} °C"
    )
    assert words == (
        "Sunny, cave wants temperature of at least 16 °C, Meadow, cave of at most 13 °C; "
        "nearest to both is 14.5 °C, which misses each by 1.5 °C"
    )


def test_a_tub_has_the_brine_temperature_of_its_wheels(
    style: Style, places: dict[str, Place]
) -> None:
    wheels, _ = fold(entries((0.0, made(1))), {"meadow": style}, places)
    limits = range_of(places["tub"], Quantity.TEMPERATURE, wheels.values(), 0.0)
    assert limits.low is not None
    assert limits.high is not None
    assert (limits.low.value, limits.high.value) == (10, 15)
    assert limits.misses(16.5) == pytest.approx(1.5)
    assert limits.misses(9.0) == pytest.approx(-1.0)
    assert limits.misses(15.0) == 0.0


def test_old_readings_are_silent_and_give_no_dew_point(draw) -> None:  # type: ignore[no-untyped-def]
    both = [Reading(WARM, 1000.0, 12.0), Reading(DAMP, 1000.0, 90.0)]
    fresh = next(v for v in draw(1050.0, [], both).places if v.place.name == "near cave")
    # 12 degC at 90 %: 10.41 degC (WMO formula, worked by hand).
    assert fresh.dew_point == pytest.approx(10.41, abs=0.01)
    stale = next(v for v in draw(1100.0, [], both).places if v.place.name == "near cave")
    assert [view.silent for view in stale.channels] == [True, True]
    assert stale.dew_point is None


def test_brine_is_as_strong_as_it_was_measured_last(draw) -> None:  # type: ignore[no-untyped-def]
    measured = entries((10.0, BrineMeasured("tub", 18.5)), (20.0, BrineMeasured("tub", 21.0)))
    strengths = [draw(now, measured).places[0].strength for now in (5.0, 15.0, 25.0)]
    assert strengths == [20.0, 18.5, 21.0]


def test_a_reading_is_shown_as_its_sensors_check_corrects_it(draw) -> None:  # type: ignore[no-untyped-def]
    check = SensorChecked(str(DAMP), Against.TABLE_SALT, 77.0, -1.5, 0.5, True)
    latest = [Reading(WARM, 60.0, 12.0), Reading(DAMP, 60.0, 91.5)]
    for since, shown in ((60.0, 90.0), (61.0, 91.5)):
        dairy = draw(90.0, entries((since, check)), latest)
        views = {view.channel: view for place in dairy.places for view in place.channels}
        assert views[DAMP].reading.value == shown
        assert views[WARM].reading.value == 12.0


def test_what_has_not_happened_yet_does_not_show(draw) -> None:  # type: ignore[no-untyped-def]
    journal = entries((100.0, made(1)))
    assert not draw(99.0, journal).wheels
    assert draw(100.0, journal).wheels[1].standing is Standing.IN_BRINE


def test_a_countdown_older_than_the_last_entry_is_pending(draw) -> None:  # type: ignore[no-untyped-def]
    journal = entries((0.0, made(1)), (50.0, Turned((1,))))
    lift = Step(Action.LIFT, at(9000.0))
    assert draw(60.0, journal, countdowns=[countdown(1, lift, basis=1)]).pending == {1}
    dairy = draw(60.0, journal, countdowns=[countdown(1, lift, basis=2)])
    assert not dairy.pending
    assert [task.action for task in dairy.tasks] == [Action.LIFT]


def test_alarms_stand_in_the_order_of_their_call(draw) -> None:  # type: ignore[no-untyped-def]
    text = Explanation("", "", "", "", 1)

    def alarm(key: str, state: State, priority: Priority, since: float) -> Alarm:
        return Alarm(key, state, priority, since, text)

    dairy = draw(
        100.0,
        [],
        alarms=[
            alarm("seen", State.ACKED, Priority.HIGH, 1),
            alarm("over", State.NORM, Priority.HIGH, 1),
            alarm("old low", State.UNACK, Priority.LOW, 1),
            alarm("new low", State.UNACK, Priority.LOW, 9),
            alarm("high", State.UNACK, Priority.HIGH, 5),
            alarm("passed", State.RTNUN, Priority.HIGH, 5),
        ],
    )
    assert [a.key for a in dairy.alarms] == ["high", "new low", "old low", "seen", "passed"]


def test_wheels_of_a_make_are_one_task_until_their_times_part(
    style: Style, places: dict[str, Place]
) -> None:
    make = Made((1, 2, 3), "meadow", Method.BRINE, 2500.0, "tub")
    wheels, _ = fold(entries((0.0, make)), {"meadow": style}, places)
    turn, lift = Step(Action.TURN, at(100.0)), Step(Action.LIFT, at(900.0))
    late = Step(Action.LIFT, at(5000.0))
    found = tasks(
        [countdown(1, turn, lift), countdown(2, turn, lift), countdown(3, turn, late)], wheels
    )
    assert [(t.action, t.wheels) for t in found] == [
        (Action.TURN, (1, 2, 3)),
        (Action.LIFT, (1, 2)),
        (Action.LIFT, (3,)),
    ]
    assert found[0].late_by(150.0) == 50.0


@pytest.mark.parametrize(
    ("channel", "raw", "value", "status"),
    [
        (WARM, 12.5, 12.5, SignalStatus.GOOD),
        (WARM, 85.0, None, SignalStatus.FAILURE),  # power-on value of a one-wire probe
        (WARM, float("nan"), None, SignalStatus.FAILURE),
        (WARM, None, None, SignalStatus.FAILURE),
        (DAMP, 101.0, 100.0, SignalStatus.OUT_OF_SPECIFICATION),
        (DAMP, 120.0, None, SignalStatus.FAILURE),
        (DAMP, -1.0, None, SignalStatus.FAILURE),
    ],
)
def test_what_cannot_be_true_is_a_failure(
    channel: Channel, raw: float | None, value: float | None, status: SignalStatus
) -> None:
    found = judged(channel, 0.0, raw)
    assert (found.value, found.status) == (value, status)


def test_channels_are_named_by_place_and_quantity() -> None:
    assert Channel.named("near cave.humidity") == DAMP
    for text in ("near cave", "near cave.", ".humidity", "near cave.light"):
        with pytest.raises(CavewatchError, match="names no channel"):
            Channel.named(text)
