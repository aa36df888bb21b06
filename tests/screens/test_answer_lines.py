"""The planner's answer in words."""

import math
from dataclasses import replace
from types import SimpleNamespace

import pytest

from cavewatch.core.countdown import Action, Span, Step
from cavewatch.core.planner import Answer, Question
from cavewatch.core.shape import Sphere
from cavewatch.core.style import Method
from cavewatch.screens.answer_lines import answer_lines, fault_lines, headline
from cavewatch.screens.lines import Role, text_of, width_of
from cavewatch.units import Display, System

HOUR = 3600.0
ASKED = Question("alpine", Method.BRINE, 2500.0, 12.5, 20.1, litres=60.0, wheels=4)


@pytest.fixture
def answer(scene: SimpleNamespace) -> Answer:
    found: Answer = scene.FakeDesk().plan(ASKED)()
    return found


def lines(scene: SimpleNamespace, answer: Answer, width: int = 80, **more: object) -> list[str]:
    display = Display(more.get("system", System.METRIC))  # type: ignore[arg-type]
    style = scene.STYLES["alpine"]
    found = answer_lines(answer, style, scene.NOW, scene.FakeDesk.zone, display, width)
    return [text_of(line) for line in found]


def test_it_says_for_what_what_to_do_and_what_comes_of_it(
    scene: SimpleNamespace, answer: Answer
) -> None:
    assert lines(scene, answer) == [
        "Alpine type, 4 wheels of 2.5 kg, 18.0 x 8.4 cm",
        "in brine of 20.1 % at 12.5 °C, 60 L",
        "",
        "at once        goes in; 8.0 to 11 g of salt on the dry face",
        "after 12 h     turn; 8.0 to 11 g of salt on the dry face",
        "after 1 d      turn; 8.0 to 11 g of salt on the dry face",
        "after 2 d 2 h  lift (1 d 16 h to 2 d 22 h)",
        "",
        "salt then   1.5 % (1.3 to 1.8 %)",
        "in moisture 3.8 % (3.2 to 4.6 %) (S/M)",
        "aim         1.5 % of its weight at the lift, for 1.6 % once it has lost 6 % in",
        "            ageing",
        "weighs      2.5 kg (2.4 to 2.5 kg)",
        "salt put on 69 g (60 to 78 g) on each",
        "brine then  19.7 % (19.5 to 19.8 %)",
        "even after  17 d (12 to 25 d) at 12.5 °C",
        "rests on    rate factor of 0.7 (0.5 to 0.9)",
    ]


def test_on_the_clock_it_says_moments(scene: SimpleNamespace, answer: Answer) -> None:
    timed = replace(answer, in_at=scene.NOW + 2 * HOUR)
    found = lines(scene, timed)
    assert found[3].startswith("17:30 ")
    assert found[4].startswith("tomorrow 05:30")
    assert found[6] == "Thu 19:30       lift (Thu 09:30 to Fri 15:30)"


def test_the_headline_is_the_lift_and_the_salt(scene: SimpleNamespace, answer: Answer) -> None:
    def said(one: Answer) -> str:
        return headline(one, scene.NOW, scene.FakeDesk.zone, Display())

    assert said(answer) == "lift after 2 d 2 h, then 1.5 % salt"
    assert said(replace(answer, in_at=scene.NOW)) == "lift Thu 17:30, then 1.5 % salt"
    assert said(replace(answer, reached=False)) == "not reached within 90 days"


def test_what_is_never_reached_says_so(scene: SimpleNamespace, answer: Answer) -> None:
    never = Step(Action.LIFT, Span(math.inf, math.inf, math.inf))
    found = lines(scene, replace(answer, reached=False, steps=(never,)))
    assert "never    lift: what it is to have is not reached within 90 days" in found


def test_a_slow_wheel_may_never_be_ready(scene: SimpleNamespace, answer: Answer) -> None:
    lift = Step(Action.LIFT, Span(10 * HOUR, 20 * HOUR, math.inf))
    assert "lift (10 h to never)" in "\n".join(lines(scene, replace(answer, steps=(lift,))))


def test_a_ball_is_rolled(scene: SimpleNamespace, answer: Answer) -> None:
    found = lines(scene, replace(answer, shape=Sphere(12.0)))
    assert any("roll; " in line for line in found)
    assert not any("turn; " in line for line in found)


def test_milled_curd_has_a_dose_and_no_steps(scene: SimpleNamespace, answer: Answer) -> None:
    asked = replace(ASKED, method=Method.MILLED, weight=10_000.0)
    milled = replace(answer, question=asked, steps=(), shape=None, even=None, brine=None)
    found = lines(scene, milled)
    assert found[0] == "Alpine type, 10.0 kg of milled curd"
    assert found[1:3] == ["salt milled into the curd", ""]
    assert "salt put on 69 g (60 to 78 g)" in found
    display = Display()
    said = headline(milled, scene.NOW, scene.FakeDesk.zone, display)
    assert said == "69.0 g of salt, then 1.5 % salt"


def test_it_speaks_the_viewers_units(scene: SimpleNamespace, answer: Answer) -> None:
    found = "\n".join(lines(scene, answer, system=System.US))
    assert "4 wheels of 5.5 lb, 7.1 x 3.3 in" in found
    assert "54.5 °F, 16 gal" in found


@pytest.mark.parametrize("width", [36, 39, 60])
def test_it_fits_and_nothing_is_cut(scene: SimpleNamespace, answer: Answer, width: int) -> None:
    hostile = replace(answer, remarks=("\x1b[2Jred " + "x" * 90, "[b]not bold[/b]"))
    style = scene.STYLES["alpine"]
    found = answer_lines(hostile, style, scene.NOW, scene.FakeDesk.zone, Display(), width)
    assert all(width_of(line) <= width for line in found)
    words = " ".join(text_of(line) for line in found)
    assert "\x1b" not in words
    assert "…" not in words


def test_why_there_is_no_answer_is_told() -> None:
    [line] = fault_lines("the tub is too small", 60)
    assert text_of(line) == "no answer   the tub is too small"
    assert line[1].role is Role.CAUTION
