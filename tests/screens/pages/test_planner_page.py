"""The planner's page, driven by keys and by mouse; it answers while one types."""

import threading
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from textual.widgets import Input, Select

from cavewatch.core.journal import Made
from cavewatch.core.planner import Answer, Question
from cavewatch.core.style import Method
from cavewatch.screens.form import Form
from cavewatch.screens.pages.planner import PlannerPage
from cavewatch.units import Display, System


def text(scene: SimpleNamespace, pilot: Any) -> str:
    return "\n".join(scene.shown(pilot.app))


async def until(pilot: Any, condition: Callable[[], bool]) -> None:
    """Wait for something to be so."""
    for _ in range(500):
        if condition():
            return
        await pilot.pause(0.02)
    pytest.fail("it never came to be so")


async def planner(scene: SimpleNamespace, pilot: Any, *keys: str) -> PlannerPage:
    await pilot.press("5", *keys)
    await pilot.pause()
    page = pilot.app.page
    assert isinstance(page, PlannerPage)
    await until(pilot, lambda: "lift" in text(scene, pilot))
    return page


async def type_into(pilot: Any, name: str, words: str) -> None:
    field = pilot.app.screen.query_one(f"#{name}", Input)
    field.focus()
    field.value = ""
    await pilot.press(*words)
    await pilot.pause()


@pytest.mark.parametrize(("width", "height"), [(120, 40), (80, 24), (40, 20)])
async def test_it_answers_at_once(scene: SimpleNamespace, width: int, height: int) -> None:
    async with scene.dashboard(scene.busy(), width, height) as pilot:
        await planner(scene, pilot)
        found = text(scene, pilot)
    for words in ("lift after 2 d 2 h, then 1.5 % salt", "Alpine type, 2.5 kg", "of 20.1 %"):
        assert words in found
    rows = found.splitlines()
    assert len(rows) <= height
    assert all(len(row) <= width for row in rows)


async def test_what_is_typed_is_asked_and_echoed(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await planner(scene, pilot)
        await type_into(pilot, "weight", "5 lb")
        assert "= 2.27 kg" in text(scene, pilot)
        await type_into(pilot, "count", "4")
        await until(pilot, lambda: "4 wheels of 2.3 kg" in text(scene, pilot))
        await type_into(pilot, "strength", "19 Be")
        await until(pilot, lambda: "brine of 19." in text(scene, pilot))
    asked = desk.questions[-1]
    assert (asked.style, asked.method, asked.wheels) == ("alpine", Method.BRINE, 4)
    assert asked.weight == pytest.approx(2267.96, abs=0.01)
    assert asked.strength == pytest.approx(19.9, abs=0.1)
    assert (asked.litres, asked.temperature) == (60.0, 12.5)


async def test_it_starts_from_the_tub_as_it_is_now_and_knows_who_is_in_it(
    scene: SimpleNamespace,
) -> None:
    desk = scene.busy()
    tub = next(view for view in desk.picture().places if view.place.name == "brine tub")
    assert tub.life is not None
    async with scene.dashboard(desk) as pilot:
        page = await planner(scene, pilot)
        asked = desk.questions[-1]
        assert asked.strength == round(tub.life.strength.expected, 1)
        assert asked.others == tub.wheels != ()
        assert asked.others_leave == round(tub.life.when_lifted.strength, 1) < asked.strength
        page.query_one("#tub", Select).value = ""
        await until(pilot, lambda: desk.questions[-1].litres is None)
    assert (desk.questions[-1].others, desk.questions[-1].others_leave) == ((), None)


async def test_an_impossible_value_says_why_at_once(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await planner(scene, pilot)
        await type_into(pilot, "strength", "60 %")
        await until(pilot, lambda: "not asked" in text(scene, pilot))
        assert "more than" in " ".join(text(scene, pilot).split())
        asked = len(desk.questions)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PlannerPage)
        assert "the line marked with !" in text(scene, pilot)
        assert len(desk.questions) == asked


async def test_the_latest_question_wins_and_typing_goes_on(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    quick, free = desk.plan, threading.Event()

    def slow(question: Question) -> Callable[[], Answer]:
        work = quick(question)

        def wait() -> Answer:
            free.wait(20)
            answer: Answer = work()
            return answer

        return wait

    async with scene.dashboard(desk) as pilot:
        await planner(scene, pilot)
        first = len(desk.questions)
        desk.plan = slow
        await type_into(pilot, "count", "2")
        await until(pilot, lambda: len(desk.questions) == first + 1)
        assert "being worked out" in text(scene, pilot)
        # None of these is worked out while the first is, and only the last of them then.
        for count in ("3", "5", "7"):
            await type_into(pilot, "count", count)
            await pilot.pause(0.25)
        assert pilot.app.screen.query_one("#count", Input).value == "7"
        free.set()
        await until(pilot, lambda: "7 wheels" in text(scene, pilot))
    assert [question.wheels for question in desk.questions[first:]] == [2, 7]


async def test_why_it_cannot_be_is_told(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await planner(scene, pilot)
        desk.unplanned = "60 L of brine is far too little"
        await type_into(pilot, "count", "400")
        await until(pilot, lambda: "it cannot be" in text(scene, pilot))
        assert "no answer   60 L of brine is" in text(scene, pilot)
        desk.unplanned = ""
        await type_into(pilot, "count", "4")
        await until(pilot, lambda: "4 wheels" in text(scene, pilot))


async def test_times_and_waking_hours_are_asked(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await planner(scene, pilot)
        await type_into(pilot, "out_by", "Fri 07:00")
        await until(pilot, lambda: "Fri 06 Mar 07:00" in text(scene, pilot))
        await type_into(pilot, "awake", "06:00-22:00")
        await until(pilot, lambda: desk.questions[-1].awake is not None)
        await until(pilot, lambda: "lift Fri 07:00" in text(scene, pilot))
        asked = desk.questions[-1]
        assert (asked.in_at, asked.awake) == (None, (6 * 3600.0, 22 * 3600.0))
        assert asked.out_by == scene.NOW + 63.5 * scene.HOUR
        await type_into(pilot, "out_by", "yesterday 07:00")
        await until(pilot, lambda: "not asked" in text(scene, pilot))
        assert "is past" in " ".join(text(scene, pilot).split())


async def test_waking_hours_alone_ask_for_going_in_now(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await planner(scene, pilot)
        await type_into(pilot, "awake", "6-22")
        await until(pilot, lambda: "lift Thu 17:30" in text(scene, pilot))
    assert desk.questions[-1].in_at == scene.NOW


async def test_it_is_put_in_by_keys_alone(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await planner(scene, pilot, "tab", *"2.3 kg", "tab", *"18 x 8.5 cm")
        await pilot.press("tab", "tab", "backspace", *"12")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Form)
        await pilot.press("ctrl+s")
        await pilot.pause()
        made: Any = desk.kept[-1].act
        assert isinstance(made, Made)
        assert made.wheels == tuple(range(27, 39))
        assert (made.style, made.method, made.place) == ("alpine", Method.BRINE, "brine tub")
        assert (made.weight, made.shape.diameter) == (2300.0, 18.0)
        assert "Written: " in text(scene, pilot)
        assert "u takes it back" in text(scene, pilot)


async def test_it_is_put_in_by_mouse(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await planner(scene, pilot)
        await scene.click(pilot, "put it in")
        assert isinstance(pilot.app.screen, Form)
        await scene.click(pilot, "Write (ctrl+s)")
        made: Any = desk.kept[-1].act
        assert (made.wheels, made.weight) == ((27,), 2500.0)


async def test_dry_salt_needs_no_tub(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        page = await planner(scene, pilot)
        page.query_one("#method", Select).value = "dry"
        await until(pilot, lambda: "rub in" in text(scene, pilot))
        assert "in dry salt at 12.0 °C" in text(scene, pilot)
    assert desk.questions[-1].litres is None


async def test_the_tub_under_the_cursor_is_chosen(scene: SimpleNamespace) -> None:
    tub = scene.PLACES[0]
    other = type(tub)("small tub", tub.kind, {}, type(tub.brine)(18.0, 20.0, 11.0))
    desk = scene.FakeDesk((tub, other))
    async with scene.dashboard(desk) as pilot:
        await pilot.press("4", "right")
        await planner(scene, pilot)
        assert "in brine of 18.0 % at 11.0 °C, 20 L" in text(scene, pilot)


async def test_a_new_minute_asks_nothing_again(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await planner(scene, pilot)
        desk.at += 60
        desk.read("brine tub.temperature", 12.55, desk.at)
        pilot.app.tick()
        await pilot.pause(0.3)
        assert len(desk.questions) == 1


async def test_units_are_switched_without_asking_again(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    async with scene.dashboard(desk) as pilot:
        await planner(scene, pilot)
        await pilot.press("f")
        await pilot.pause()
        assert desk.display == Display(System.US)
        assert "Alpine type, 5.5 lb" in text(scene, pilot)
        assert len(desk.questions) == 1


async def test_letters_are_typed_in_a_field_and_are_keys_elsewhere(scene: SimpleNamespace) -> None:
    async with scene.dashboard(scene.busy()) as pilot:
        page = await planner(scene, pilot, "tab", *"q8")
        assert page.query_one("#weight", Input).value == "q8"
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(pilot.app.page, PlannerPage)


async def test_while_a_replay_skips_nothing_is_asked(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.replay = scene.FakeReplay()
    async with scene.dashboard(desk) as pilot:
        await planner(scene, pilot)
        pilot.app.viewer.skipping = "to tomorrow"
        await type_into(pilot, "count", "4")
        await pilot.pause(0.3)
        assert len(desk.questions) == 1
        pilot.app.viewer.skipping = ""
        pilot.app.page.redraw()
        await until(pilot, lambda: "4 wheels" in text(scene, pilot))
