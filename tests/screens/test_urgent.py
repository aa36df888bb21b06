"""The most urgent thing in words."""

from dataclasses import replace
from functools import partial
from types import SimpleNamespace
from typing import Any

import pytest

from cavewatch import clock
from cavewatch.core.alarms.alarm import Priority
from cavewatch.core.alarms.table import State
from cavewatch.core.journal import Turned
from cavewatch.core.urgent import calling, number_words, urgent, wheel_words


def said(desk: Any) -> str:
    return urgent(
        desk.picture(),
        desk.now(),
        moment=partial(clock.moment, present=desk.now(), where=desk.zone),
        length=clock.duration,
        mass=desk.display.mass,
    )


def test_a_quiet_dairy_says_until_when(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    assert said(desk) == "Nothing is due before 19:30: then turn wheels 14–17 in brine tub"
    assert calling(desk.picture(), desk.now()) is None


def test_work_that_is_near_is_named_first(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.at += 3.8 * 3600
    assert said(desk) == "Turn wheels 14–17 in brine tub at 19:30, in 12 min"
    assert calling(desk.picture(), desk.now()) is None


def test_work_that_is_due_says_how_late_and_what_follows(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.at += 4 * 3600
    assert said(desk) == ("Turn wheels 14–17 in brine tub now; then 9.0 g of salt each on the face")
    desk.at += 12 * 60
    assert said(desk) == (
        "Turn wheels 14–17 in brine tub now, 12 min late; then 9.0 g of salt each on the face"
    )


def test_a_high_alarm_comes_before_late_work(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    assert said(desk) == (
        "Lower cave is too dry: 84 %, at least 88 %. Shut the door and fill the humidifier"
    )


@pytest.mark.parametrize("state", [State.ACKED, State.RTNUN])
def test_an_alarm_that_somebody_knows_or_that_passed_does_not_call(
    scene: SimpleNamespace, state: State
) -> None:
    desk = scene.quiet()
    desk.alarms = [replace(scene.TOO_DRY, state=state)]
    assert said(desk).startswith("Nothing is due")


def test_a_low_alarm_comes_after_late_work_but_before_none(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.alarms = [replace(scene.TOO_DRY, priority=Priority.LOW)]
    assert said(desk).startswith("Lower cave is too dry")
    desk.at += 4 * 3600
    assert said(desk).startswith("Turn wheels")


def test_a_coat_and_a_lift_have_their_own_words(scene: SimpleNamespace) -> None:
    desk = scene.FakeDesk()
    desk.append(scene.made(24, 25, place="salting tray"), scene.NOW - 13 * 3600, "MK")
    desk.solve()
    assert (
        said(desk) == "Rub 23 g of salt each on wheels 24, 25 in salting tray now, 1 h 00 min late"
    )
    desk.at = scene.NOW - 13 * 3600 + 60 * 3600
    step = desk.countdowns[24].steps[-1]
    desk.countdowns = {n: replace(c, steps=(step,)) for n, c in desk.countdowns.items()}
    assert said(desk) == "Brush the salt off wheels 24, 25 in salting tray now"


def test_while_a_countdown_is_worked_out_it_says_so(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.append(Turned((14, 15, 16, 17)), desk.now(), "MK")
    assert said(desk) == "The countdown of wheels 14–17 is being worked out"


def test_without_wheels_in_salt_nothing_is_due(scene: SimpleNamespace) -> None:
    assert said(scene.FakeDesk()) == "Nothing is due: no wheel is in salt"


def test_runs_of_numbers_are_drawn_together() -> None:
    assert number_words([14, 15, 16, 22, 18, 19]) == "14–16, 18, 19, 22"
    assert wheel_words([7]) == "wheel 7"
    assert wheel_words([7, 8]) == "wheels 7, 8"
