"""The standard's figures and the past of alarms, as text."""

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from cavewatch.core.alarms.alarm import Alarm, Transition
from cavewatch.core.alarms.table import State, Trigger, after
from cavewatch.core.journal import Acknowledged, Corrected
from cavewatch.screens.alarm_figures import figure_lines, figures
from cavewatch.screens.alarm_past import AlarmPasts
from cavewatch.screens.alarm_past_lines import past_line, past_lines
from cavewatch.screens.lines import text_of, width_of
from cavewatch.units import Display, System

UTC = ZoneInfo("UTC")
HOUR = 3600.0


def chattering(alarm: Alarm, at: float, times: int) -> list[Transition]:
    found = []
    alarm = replace(alarm, state=State.NORM, key="door.humidity high")
    for n in range(2 * times):
        trigger = Trigger.NORMAL if n % 2 else Trigger.ABNORMAL
        before, alarm = alarm.state, replace(alarm, state=after(alarm.state, trigger))
        found.append(Transition(at + 5.0 * n, before, trigger, replace(alarm, called=at + 5.0 * n)))
    return found


def desk_with(scene: SimpleNamespace, transitions: list[Transition]) -> Any:
    desk = scene.quiet()
    desk.passed = transitions
    return desk


def told(desk: Any, days: int = 7) -> dict[str, Any]:
    past = AlarmPasts(desk).of(desk.picture(), days)
    return {figure.label: figure for figure in figures(past)}


def test_a_quiet_week_is_good_in_all_that_has_a_target(scene: SimpleNamespace) -> None:
    found = told(desk_with(scene, []))
    assert found["raised"].value == "0, 0.0 a day"
    assert found["acknowledged after"].value == "none given"
    assert not [figure for figure in found.values() if figure.met is False]


def test_a_chattering_alarm_is_not_good_and_is_named(scene: SimpleNamespace) -> None:
    desk = desk_with(scene, chattering(scene.TOO_DRY, scene.NOW - HOUR, 6))
    found = told(desk)
    assert (found["raised"].value, found["raised"].met) == ("6, 0.9 a day", False)
    assert (found["chattering"].value, found["chattering"].met) == ("1", False)
    past = AlarmPasts(desk).of(desk.picture(), 7)
    lines = [text_of(line) for line in figure_lines(past, 77)]
    assert "  6 ×  lower cave is too dry: 84 %, at least 88 % (chattering)" in lines


def test_every_target_names_its_source_and_the_standard_is_said_not_to_have_been_read(
    scene: SimpleNamespace,
) -> None:
    desk = desk_with(scene, [])
    assert all(
        "(standard)" in figure.target or "(judgement)" in figure.target
        for figure in told(desk).values()
    )
    past = AlarmPasts(desk).of(desk.picture(), 7)
    assert "standard itself was not read" in " ".join(map(text_of, figure_lines(past, 77)))


def test_how_fast_alarms_were_acknowledged_is_told(scene: SimpleNamespace) -> None:
    at = scene.NOW - 5 * HOUR
    called = replace(scene.TOO_DRY, since=at, called=at)
    seen = replace(called, state=State.ACKED)
    desk = desk_with(
        scene,
        [
            Transition(at, State.NORM, Trigger.ABNORMAL, called),
            Transition(at + 1800, State.UNACK, Trigger.ACKNOWLEDGE, seen),
        ],
    )
    found = told(desk)["acknowledged after"]
    assert (found.value, found.met) == ("30 min, longest 30 min", True)
    assert found.target.endswith("1 of 1")


@pytest.mark.parametrize("width", [37, 77, 117])
def test_nothing_is_wider_than_its_line(scene: SimpleNamespace, width: int) -> None:
    desk = desk_with(scene, chattering(scene.TOO_DRY, scene.NOW - HOUR, 6))
    past = AlarmPasts(desk).of(desk.picture(), 7)
    lines = figure_lines(past, width)
    assert past.came
    for came in past.came:
        lines += [past_line(came, UTC, width)]
        lines += past_lines(came, past.transitions, scene.NOW, UTC, width)
    assert max(map(width_of, lines)) <= width


def test_the_past_is_asked_for_again_only_when_an_alarm_changed_or_it_is_old(
    scene: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = scene.busy()
    asked: list[float] = []
    real: Callable[[float, float], list[Transition]] = desk.transitions
    monkeypatch.setattr(
        desk, "transitions", lambda since, until: asked.append(since) or real(since, until)
    )
    pasts = AlarmPasts(desk)
    for _ in range(3):
        pasts.of(desk.picture(), 7)
    assert len(asked) == 1
    pasts.of(desk.picture(), 30)
    desk.alarms = desk.alarms[:1]
    pasts.of(desk.picture(), 30)
    desk.at += HOUR
    pasts.of(desk.picture(), 30)
    assert len(asked) == 4
    desk.switched(Display(System.US))
    pasts.of(desk.picture(), 30)
    assert len(asked) == 5


def test_a_time_that_an_alarm_came_is_told_with_what_was_done(scene: SimpleNamespace) -> None:
    at, key = scene.NOW - 3 * HOUR, scene.TOO_DRY.key
    dry = replace(scene.TOO_DRY, since=at, called=at)
    quiet = replace(dry, state=State.SHLVD, beneath=State.UNACK, until=scene.NOW, why="new")
    gone = replace(quiet, beneath=State.RTNUN)
    desk = desk_with(
        scene,
        [
            Transition(at, State.NORM, Trigger.ABNORMAL, dry),
            Transition(at + 60, State.UNACK, Trigger.SHELVE, quiet),
            Transition(at + HOUR, State.SHLVD, Trigger.NORMAL, gone),
        ],
    )
    (came,) = AlarmPasts(desk).of(desk.picture(), 7).came
    assert text_of(past_line(came, UTC, 88)) == (
        "Tue  3 Mar 12:30  1 h 00    lower cave is too dry: 84 %, at least 88 %         no action"
    )
    assert text_of(past_line(came, UTC, 40)).startswith("!  3 Mar 12:30  lower cave is too")
    desk.append(Corrected(key, "two wheels moved", "filled it"), at + HOUR, "MK")
    desk.append(Acknowledged(key), at + 90, "AB")
    past = AlarmPasts(desk).of(desk.picture(), 7)
    (came,) = past.came
    assert text_of(past_line(came, UTC, 88)).endswith("acted on")
    assert text_of(past_line(came, UTC, 40)).startswith("   3 Mar 12:30")
    lines = [text_of(line) for line in past_lines(came, past.transitions, scene.NOW, UTC, 100)]
    for line in (
        "came          12:30",
        "until         13:30, after 1 h 00",
        "seen by       AB, 12:31",
        "done          13:30: product: two wheels moved; cause: filled it (MK)",
        "it            called 12:30, shelved 12:31, went, unheard 13:30",
    ):
        assert line in lines


def test_an_action_is_seen_though_no_alarm_changed(scene: SimpleNamespace) -> None:
    desk = desk_with(scene, chattering(scene.TOO_DRY, scene.NOW - HOUR, 1))
    pasts = AlarmPasts(desk)
    assert not pasts.of(desk.picture(), 7).came[0].actions
    desk.append(Corrected("door.humidity high", "nothing: seconds only"), scene.NOW, "MK")
    assert pasts.of(desk.picture(), 7).came[0].actions


def test_what_stands_since_before_the_span_is_told_from_its_beginning(
    scene: SimpleNamespace,
) -> None:
    at = scene.NOW - 20 * 24 * HOUR
    desk = scene.quiet()
    desk.alarms = [replace(scene.TOO_DRY, since=at, called=at)]
    desk.passed = [Transition(at, State.NORM, Trigger.ABNORMAL, desk.alarms[0])]
    (came,) = AlarmPasts(desk).of(desk.picture(), 7).came
    assert (came.since, came.until) == (at, None)
