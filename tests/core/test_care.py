"""Care of the rind, tests of the brine, and what of it is said first."""

from dataclasses import replace

import pytest

from cavewatch.core.care import care
from cavewatch.core.countdown import Action, Countdown, Span, Step
from cavewatch.core.dairy import Dairy, picture
from cavewatch.core.due import Task
from cavewatch.core.journal import (
    Act,
    BrineMeasured,
    BrineWork,
    Ended,
    Ending,
    Entry,
    Lifted,
    Made,
    Moved,
    Tended,
    Turned,
    Wash,
    Washed,
)
from cavewatch.core.place import Place
from cavewatch.core.stages import DAY, HOUR
from cavewatch.core.style import Care, Method, Style
from cavewatch.core.urgent import calling, task_words
from cavewatch.core.wheel import fold

SOURCE = "invented for the tests"


@pytest.fixture
def tended(style: Style) -> Style:
    """Turned daily for two days of drying, then turned weekly and rubbed every two days."""
    drying, cave = style.stages
    return replace(
        style,
        stages=(
            replace(drying, works=(Care(Action.TURN, 1, SOURCE),)),
            replace(cave, works=(Care(Action.TURN, 7, SOURCE), Care(Action.RUB, 2, SOURCE))),
        ),
    )


def entries(*acts: tuple[float, Act]) -> list[Entry]:
    return [Entry(n, at, at, "MK", act) for n, (at, act) in enumerate(acts, 1)]


def made(*numbers: int, at: float = 0.0) -> tuple[float, Made]:
    place = "near cave"
    return at, Made(numbers, "meadow", Method.BRINE, 2500.0, place, salting_done=True)


@pytest.fixture
def cared(tended: Style, places: dict[str, Place]):  # type: ignore[no-untyped-def]
    def run(now: float, *acts: tuple[float, Act]) -> list[tuple[Action, float, tuple[int, ...]]]:
        known = [entry for entry in entries(*acts) if entry.at <= now]
        wheels, misfits = fold(known, {"meadow": tended}, places)
        assert not misfits
        return [(t.action, t.at.expected / DAY, t.wheels) for t in care(wheels, now)]

    return run


def test_care_falls_due_an_interval_after_it_was_done_last(cared) -> None:  # type: ignore[no-untyped-def]
    assert cared(0.5 * DAY, made(1)) == [(Action.TURN, 1.0, (1,))]
    assert cared(DAY, made(1), (0.75 * DAY, Turned((1,)))) == [(Action.TURN, 1.75, (1,))]


def test_a_new_stage_counts_from_its_beginning_or_from_the_last_time(cared) -> None:  # type: ignore[no-untyped-def]
    turned = (1.5 * DAY, Turned((1,)))
    assert cared(2.5 * DAY, made(1), turned) == [(Action.RUB, 4.0, (1,)), (Action.TURN, 9.0, (1,))]
    rubbed = (3.0 * DAY, Washed((1,), Wash.RUB))
    assert (Action.RUB, 5.0, (1,)) in cared(3.0 * DAY, made(1), rubbed)


@pytest.mark.parametrize(("how", "due"), [(Wash.RUB, 5.0), (Wash.WASH, 5.0), (Wash.OIL, 4.0)])
def test_washing_does_for_rubbing_and_oiling_does_not(cared, how: Wash, due: float) -> None:  # type: ignore[no-untyped-def]
    assert (Action.RUB, due, (1,)) in cared(3.5 * DAY, made(1), (3 * DAY, Washed((1,), how)))


def test_turning_in_brine_is_salting_and_no_care(cared) -> None:  # type: ignore[no-untyped-def]
    brined = (0.0, Made((1,), "meadow", Method.BRINE, 2500.0, "tub"))
    turned, lifted = (0.9 * DAY, Turned((1,))), (DAY, Lifted((1,), "near cave"))
    assert cared(0.95 * DAY, brined, turned) == []
    assert cared(1.5 * DAY, brined, turned, lifted) == [(Action.TURN, 2.0, (1,))]


def test_wheels_of_several_makes_are_done_in_one_round(cared) -> None:  # type: ignore[no-untyped-def]
    # An eighth of a day is three hours: wheel 3 is another round.
    acts = (made(1), made(2, at=2 * HOUR), made(3, at=4 * HOUR))
    assert [wheels for _, _, wheels in cared(0.5 * DAY, *acts)] == [(1, 2), (3,)]


def test_a_wheel_that_moves_takes_its_care_with_it_and_one_that_ended_has_none(cared) -> None:  # type: ignore[no-untyped-def]
    acts = (made(1, 2), (0.5 * DAY, Moved((1,), "far cave")), (0.5 * DAY, Ended((2,), Ending.SOLD)))
    assert cared(0.6 * DAY, *acts) == [(Action.TURN, 1.0, (1,))]


@pytest.fixture
def draw(tended: Style, places: dict[str, Place]):  # type: ignore[no-untyped-def]
    def run(now: float, *acts: tuple[float, Act], countdowns=()) -> Dairy:  # type: ignore[no-untyped-def]
        book = {"meadow": tended}
        return picture(now, places.values(), {}, book, entries(*acts), {}, (), countdowns)

    return run


BRINED = (0.0, Made((9,), "meadow", Method.BRINE, 2500.0, "tub"))


def of_tubs(dairy: Dairy) -> list[Task]:
    return [task for task in dairy.tasks if task.action is Action.TEST]


def test_a_brine_that_was_tested_is_to_be_tested_again_in_a_week(draw) -> None:  # type: ignore[no-untyped-def]
    (task,) = of_tubs(draw(DAY, BRINED, (HOUR, BrineMeasured("tub", 20.0))))
    assert task.at.expected == HOUR + 7 * DAY
    assert task.what == "measure the strength"
    assert (task.place, task.wheels, task.salting) == ("tub", (), False)


def test_tests_that_are_due_together_are_one_task_of_the_tub(draw) -> None:  # type: ignore[no-untyped-def]
    tested = (HOUR, BrineMeasured("tub", 20.0, 5.2))
    skimmed = (2 * HOUR, Tended("tub", BrineWork.SKIMMED))
    dairy = draw(40 * DAY, BRINED, tested, skimmed)
    (task,) = of_tubs(dairy)
    assert task.what == "measure the strength; measure the pH"
    assert task.at.expected == HOUR + 7 * DAY
    words = task_words(task, dairy, str)
    assert words == "test the brine in tub: measure the strength; measure the pH"


def test_what_was_never_tested_is_advice_and_no_task(draw) -> None:  # type: ignore[no-untyped-def]
    assert of_tubs(draw(DAY, BRINED)) == []


def test_salting_that_is_due_comes_before_care_that_is_later_still(draw) -> None:  # type: ignore[no-untyped-def]
    none, now = Span(0, 0, 0), 5 * DAY
    lift = Step(Action.LIFT, Span(now - 60, now - 60, now - 60))
    solved = Countdown(9, 2, 0.0, 0.0, none, Span(1.4, 1.8, 2.2), (lift,), "")
    brined = (now - DAY, BRINED[1])
    dairy = draw(now, made(1), brined, countdowns=[solved])
    assert dairy.tasks[0].action is Action.RUB
    first = calling(dairy, now)
    assert isinstance(first, Task)
    assert first.action is Action.LIFT
    before = draw(now, made(1))
    assert task_words(before.tasks[0], before, str) == "rub wheel 1 in near cave"
    assert calling(before, now) is before.tasks[0]
