"""Places as text."""

from types import SimpleNamespace
from typing import Any

import pytest

from cavewatch.core.reading import Channel
from cavewatch.screens.lines import Role, text_of, width_of
from cavewatch.screens.places import place_heading, place_lines
from cavewatch.units import Display, System


def drawn(desk: Any, name: str, width: int, full: bool = False) -> list[str]:
    view = next(v for v in desk.picture().places if v.place.name == name)
    return [text_of(line).rstrip() for line in place_lines(view, desk.display, {}, width, full)]


def test_a_place_in_one_line_stands_under_its_heading(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    heading = text_of(place_heading(77, full=False))
    tub, cave = drawn(desk, "brine tub", 77)[0], drawn(desk, "lower cave", 77)[0]
    assert [heading, tub, cave] == [
        "places        temperature                humidity               dew pt wheels",
        "brine tub     12.6 °C ───●─── 10–15      brine 20.1 %                      11",
        "lower cave     9.4 °C ──●──── 8–12        84 % ◂ LOW ─ from 88   6.8 °C     3",
    ]


def test_a_place_in_full_names_whose_the_range_is(scene: SimpleNamespace) -> None:
    assert drawn(scene.busy(), "lower cave", 77, full=True) == [
        "lower cave  3 wheels, dew point 6.8 °C",
        "  temperature    9.4 °C ──●──── 8–12 °C   Mountain tomme, cave",
        "  humidity         84 % ◂ LOW ─ from 88 % Mountain tomme, cave",
    ]


def test_a_place_on_a_narrow_screen_says_in_a_word_what_is_wrong(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    assert drawn(desk, "lower cave", 37) == ["lower cave   9.4 °C        84 % LOW"]
    assert drawn(desk, "upper cave", 37) == ["upper cave  12.9 °C        91 %"]
    assert drawn(desk, "brine tub", 37) == ["brine tub   12.6 °C      brine 20.1 %"]
    assert drawn(desk, "salting tray", 37) == ["salting tr… no probe, 2 wheels"]


@pytest.mark.parametrize(("width", "full"), [(37, False), (77, False), (77, True), (117, True)])
def test_a_silent_channel_is_a_word_and_not_bright(
    scene: SimpleNamespace, width: int, full: bool
) -> None:
    desk = scene.busy()
    desk.read("lower cave.humidity", 84.0, scene.NOW - 600)
    view = desk.picture().places[-1]
    lines = place_lines(view, desk.display, {}, width, full)
    assert "silent" in " ".join(text_of(line) for line in lines)
    assert Role.ALERT not in {part.role for line in lines for part in line}


@pytest.mark.parametrize(("width", "full"), [(37, False), (77, False), (77, True)])
def test_a_sensor_without_a_value_is_a_fault(
    scene: SimpleNamespace, width: int, full: bool
) -> None:
    desk = scene.busy()
    desk.read("lower cave.humidity", None)
    assert "fault" in " ".join(drawn(desk, "lower cave", width, full))


def test_a_value_that_is_too_high_says_high(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.read("upper cave.temperature", 15.2)
    assert "HIGH ▸" in drawn(desk, "upper cave", 77)[0]
    assert "HIGH" in drawn(desk, "upper cave", 37)[0]


def test_wheels_that_want_what_cannot_be_had_are_a_clash(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.styles = {**scene.STYLES, "warm": scene.style("warm", "Warm", (20.0, 22.0), (90.0, 95.0))}
    act = scene.made(40, kind="warm", place="lower cave", salting_done=True)
    desk.append(act, scene.NOW - 30 * scene.DAY, "MK")
    assert "clash" in drawn(desk, "lower cave", 77)[0]
    assert "Warm, cave wants temperature of at…" in drawn(desk, "lower cave", 117, True)[1]


def test_a_trend_stands_at_the_right_edge(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    view = desk.picture().places[0]
    trends = {Channel.named("brine tub.temperature"): [12.0] * 12 + [13.0] * 12}
    line = text_of(place_lines(view, desk.display, trends, 77, True)[1])
    assert line.endswith(" ⣀⣀⣀⣀⣀⣀⠏⠉⠉⠉⠉⠉")


def test_the_makers_units_are_used(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.display = Display(System.US)
    assert "48.9 °F" in drawn(desk, "lower cave", 77)[0]


@pytest.mark.parametrize("width", [37, 57, 77, 117, 197])
@pytest.mark.parametrize("full", [True, False])
@pytest.mark.parametrize("system", System)
def test_no_line_of_a_place_is_wider_than_the_screen(
    scene: SimpleNamespace, width: int, full: bool, system: System
) -> None:
    desk = scene.busy()
    for view in desk.picture().places:
        for line in place_lines(view, Display(system), {}, width, full):
            assert width_of(line) <= width
