from collections.abc import Callable
from dataclasses import replace

import pytest

from cavewatch.core.alarms.alarm import Priority
from cavewatch.core.alarms.conditions import clash, late, out_of_range, silent
from cavewatch.core.alarms.limits import Side
from cavewatch.core.countdown import Action, Countdown, Span, Step
from cavewatch.core.due import Task
from cavewatch.core.place import Place
from cavewatch.core.ranges import Edge, Range
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus

H = 3600.0
LIMITS = Range(Edge(90.0, "Meadow, cave"), Edge(95.0, "Meadow, cave"))
DAMP = Channel("near cave", Quantity.HUMIDITY)


def show(quantity: Quantity, value: float) -> str:
    return f"{value:g} {'%' if quantity is Quantity.HUMIDITY else 'degC'}"


@pytest.mark.parametrize("side", Side)
@pytest.mark.parametrize("quantity", Quantity)
@pytest.mark.parametrize("name", ["near cave", "tub"])
def test_every_channel_out_of_range_explains_itself(
    places: dict[str, Place], name: str, quantity: Quantity, side: Side
) -> None:
    found = out_of_range(places[name], Channel(name, quantity), side, LIMITS, 99.0, show)
    text = found.explanation
    assert text.what.startswith(f"{name} is too ")
    assert "for Meadow, cave" in text.what
    assert all((text.causes, text.consequence, text.action))
    assert text.respond_hours > 0


def test_a_dry_cave_says_by_how_much_and_for_whom(places: dict[str, Place]) -> None:
    found = out_of_range(places["near cave"], DAMP, Side.LOW, LIMITS, 84.0, show)
    assert found.explanation.what == ("near cave is too dry: 84 %, at least 90 % for Meadow, cave")
    assert found.key == "near cave.humidity low"


def test_a_sensor_without_value_is_told_from_one_that_is_not_heard() -> None:
    broken = Reading(DAMP, 0.0, None, SignalStatus.FAILURE)
    assert silent(DAMP, broken).explanation.what == "the sensor at near cave gives no humidity"
    assert silent(DAMP, None).explanation.what.startswith("nothing is heard of the humidity")


def test_a_clash_names_both_styles() -> None:
    limits = Range(Edge(14, "Warm, room"), Edge(10, "Cold, cave"), "Warm wants more than Cold")
    assert "Warm wants more than Cold" in clash(DAMP, limits).explanation.what


@pytest.fixture
def lateness() -> Callable[[Action, float], object]:
    def judge(action: Action, hours_late: float) -> object:
        due = Span(20 * H, 20 * H, 30 * H)
        countdown = Countdown(
            wheel=4,
            basis=1,
            solved_at=0.0,
            started_at=0.0,
            salt=Span(1.9, 2.1, 2.6),
            target=Span(1.4, 1.8, 2.2),
            steps=(Step(action, due),),
            reason="",
        )
        task = Task(action, due, (4,), "tub", "Meadow", None)
        now = (20 + hours_late) * H
        return late(task, {4: countdown}, now, lambda s: f"{s / H:g} h")

    return judge


def test_a_task_a_little_late_is_no_alarm(lateness: Callable[[Action, float], object]) -> None:
    assert lateness(Action.LIFT, 1.9) is None
    assert lateness(Action.TURN, 4.9) is None
    assert lateness(Action.COAT, 4.9) is None


def test_a_face_left_unsalted_is_never_an_alarm(
    lateness: Callable[[Action, float], object],
) -> None:
    assert lateness(Action.SALT_FACE, 100.0) is None


def test_a_wheel_left_in_too_long_tells_its_salt(
    lateness: Callable[[Action, float], object],
) -> None:
    found = lateness(Action.LIFT, 3.0)
    assert found is not None
    assert found.priority is Priority.HIGH  # type: ignore[attr-defined]
    text = found.explanation  # type: ignore[attr-defined]
    assert text.what == "wheel 4 in tub should have been lifted 3 h ago"
    assert "about 2.1 % salt by now (1.9 to 2.6); Meadow wants 1.8 %" in text.consequence
    assert "no more than 2.2 %" in text.consequence


def test_conditions_of_one_alarm_keep_its_key(
    lateness: Callable[[Action, float], object],
) -> None:
    first, later = lateness(Action.TURN, 6.0), lateness(Action.TURN, 9.0)
    assert first.key == later.key  # type: ignore[union-attr,attr-defined]
    assert replace(first, explanation=None) == replace(later, explanation=None)  # type: ignore[type-var]
