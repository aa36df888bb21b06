"""The curves of a place, and what stands under them, as text."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from cavewatch.core.alarms.alarm import Transition
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.dairy import Dairy, PlaceView
from cavewatch.core.journal import Noted, Turned
from cavewatch.core.time_in_range import TimeInRange
from cavewatch.screens.curves.spans import Span
from cavewatch.screens.lines import Line, Role, text_of, width_of
from cavewatch.screens.looking import Looking, bins_of
from cavewatch.screens.place_curves import curve_lines, spent_words
from cavewatch.screens.place_facts import place_facts
from cavewatch.screens.place_past import Past, Pasts, past
from cavewatch.units import Display, System

TODAY = Looking()


def place(dairy: Dairy, name: str) -> PlaceView:
    return next(view for view in dairy.places if view.place.name == name)


def asked(desk: Any, name: str, looking: Looking, width: int = 77) -> tuple[PlaceView, Past]:
    dairy = desk.picture()
    view = place(dairy, name)
    return view, past(desk, view, dairy, bins_of(looking, desk.at, width))


def drawn(
    desk: Any,
    name: str,
    looking: Looking = TODAY,
    width: int = 77,
    rows: int = 16,
    ascii_only: bool = False,
) -> list[Line]:
    view, found = asked(desk, name, looking, width)
    return curve_lines(
        view, found, looking, desk.at, desk.zone, desk.display, width, rows, ascii_only
    )


def words(lines: list[Line]) -> str:
    return "\n".join(text_of(line) for line in lines)


def test_each_quantity_says_its_value_its_range_whose_it_is_and_the_time_in_it(
    scene: SimpleNamespace,
) -> None:
    found = words(drawn(scene.busy(), "upper cave"))
    assert "temperature  12.9 °C  11–14 °C, Alpine type, cave" in found
    assert "humidity  91 %  90–96 %, Alpine type, cave" in found
    assert found.count("in range 100 %") == 2
    assert "[day]" in found
    assert "from yesterday 12:24 on" in found


def test_what_is_out_of_range_says_so_in_a_word(scene: SimpleNamespace) -> None:
    lines = drawn(scene.busy(), "lower cave")
    assert "84 % LOW  from 88 %" in words(lines)
    assert "in range 0 %" in words(lines)
    alert = [part.text for line in lines for part in line if part.role is Role.ALERT]
    assert alert == ["84 % LOW"]


def test_on_a_normal_day_nothing_is_bright(scene: SimpleNamespace) -> None:
    lines = drawn(scene.quiet(), "lower cave")
    assert {part.role for line in lines for part in line} <= {Role.PLAIN, Role.FAINT, Role.STRONG}


def test_a_silent_probe_is_named(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.read("upper cave.humidity", 91.0, scene.NOW - 1200)
    assert "humidity  91 % silent for 20 min" in words(drawn(desk, "upper cave"))


def test_the_range_on_the_curve_is_that_of_its_time(scene: SimpleNamespace) -> None:
    _, found = asked(scene.busy(), "drying rack", Looking(Span.WEEK))
    # The wheels came to the rack a day ago; before that nobody set a range.
    low = next(iter(found.measured.values())).low
    assert low[0] is None
    assert low[-1] == 10.0


def test_marks_tell_what_was_done_and_what_was_wrong(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.append(Turned((5, 6, 7)), scene.NOW - 6 * scene.HOUR, "MK")
    desk.append(Turned((14,)), scene.NOW - 6 * scene.HOUR, "MK")  # in the tub
    dry = replace(scene.TOO_DRY, place="lower cave")
    elsewhere = replace(scene.SILENT, state=State.UNACK)
    desk.passed = [
        Transition(each.since, State.NORM, Trigger.ABNORMAL, each) for each in (dry, elsewhere)
    ]
    desk.alarms = [dry]
    _, found = asked(desk, "lower cave", TODAY)
    assert [(mark.sign, mark.words) for mark in found.marks] == [
        ("▴", "turned wheels 5–7"),
        ("!", "lower cave is too dry: 84 %, at least 88 %"),
    ]
    assert found.marks[1].role is Role.ALERT
    desk.alarms = []
    _, later = asked(desk, "lower cave", TODAY)
    assert later.marks[1].role is Role.CAUTION


def test_the_cursor_tells_values_and_what_happened(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    at = scene.NOW - 6 * scene.HOUR
    desk.append(Turned((5, 6, 7)), at, "MK")
    last = text_of(drawn(desk, "lower cave", Looking(cursor=at))[-1])
    assert last.startswith("09:30  ")
    assert "°C" in last
    assert "dew point" in last
    assert last.endswith("· turned wheels 5–7")
    gone = drawn(desk, "lower cave", Looking(Span.YEAR, scene.NOW - 200 * scene.DAY))
    assert "no reading" in text_of(gone[-1])


def test_what_is_years_ago_has_its_year(scene: SimpleNamespace) -> None:
    found = words(drawn(scene.busy(), "upper cave", Looking(Span.FIVE_YEARS)))
    assert "from 24 Dec 2020 on" in found


def test_one_curve_may_be_shown_large(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    names = ("temperature  ", "humidity  ", "dew point  ")
    for number, name in enumerate(names):
        found = words(drawn(desk, "upper cave", Looking(only=number)))
        assert [each in found for each in names] == [each == name for each in names]
    tall = words(drawn(desk, "upper cave", rows=30))
    assert all(name in tall for name in names)


def test_a_place_without_a_probe_says_so(scene: SimpleNamespace) -> None:
    assert "There is no probe here" in words(drawn(scene.busy(), "salting tray"))


@pytest.mark.parametrize("span", list(Span))
@pytest.mark.parametrize(("width", "rows"), [(37, 11), (77, 15), (117, 28), (200, 60)])
def test_nothing_is_wider_or_taller_than_there_is_room_for(
    scene: SimpleNamespace, span: Span, width: int, rows: int
) -> None:
    for cursor in (None, scene.NOW - span.seconds / 2):
        lines = drawn(scene.busy(), "lower cave", Looking(span, cursor), width, rows)
        assert all(width_of(line) <= width for line in lines)
        assert len(lines) <= rows


def test_values_come_in_the_viewers_units(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.switched(Display(System.US))
    found = words(drawn(desk, "upper cave"))
    assert "55.2 °F  51.8–57.2 °F" in found
    assert "°C" not in found


def test_plain_characters_where_the_terminal_has_no_others(scene: SimpleNamespace) -> None:
    lines = drawn(scene.busy(), "upper cave", ascii_only=True)
    charts = [text_of(line)[9:] for line in lines if not text_of(line)[:1].isalpha()]
    assert all(line.isascii() for line in charts)


def test_hostile_notes_cannot_reach_the_terminal(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    at = scene.NOW - 3600
    desk.append(Noted("\x1b[31m[bold]red\u202e", (5,)), at, "MK")
    _, found = asked(desk, "lower cave", TODAY)
    assert found.marks[-1].words == "note about wheel 5: [31m[bold]red"
    last = text_of(drawn(desk, "lower cave", Looking(cursor=at), width=117)[-1])
    assert "\x1b" not in last
    assert "\u202e" not in last
    assert "[bold]red" in last


def test_the_past_is_asked_for_again_only_when_it_may_be_another(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    kept, dairy = Pasts(desk), desk.picture()
    view, bins = place(dairy, "upper cave"), bins_of(TODAY, scene.NOW, 77)
    first = kept.of(view, dairy, bins)
    asked_for = len(desk.asked)
    assert kept.of(view, replace(dairy, at=dairy.at + 30), bins) is first
    assert len(desk.asked) == asked_for
    assert kept.of(view, replace(dairy, at=dairy.at + 60), bins) is not first
    desk.append(Turned((1,)), scene.NOW, "MK")
    assert kept.of(view, dairy, bins).marks[-1].words == "turned wheel 1"


@pytest.mark.parametrize(
    ("spent", "said"),
    [
        (TimeInRange(0, 0, 0, 50, 50), ""),
        (TimeInRange(100, 0, 0, 0, 0), "in range 100 %"),
        (TimeInRange(97, 2, 1, 0, 50), "in range 97 %, above 2 %, below 1 %"),
        (TimeInRange(999, 1, 0, 0, 0), "in range > 99 %, above < 1 %"),
        (TimeInRange(0, 0, 10, 0, 0), "in range 0 %, below 100 %"),
        (TimeInRange(80, 20, 0, 0, 0, 1), "in range 80 %, above 20 %"),
        (TimeInRange(80, 20, 0, 0, 0, 30), "in range about 80 %, above 20 %"),
    ],
)
def test_time_in_range_in_words(spent: TimeInRange, said: str) -> None:
    assert spent_words(spent) == said


# Who is there


def facts(desk: Any, name: str, width: int = 77) -> str:
    dairy = desk.picture()
    items = place_facts(place(dairy, name), dairy, desk.zone, desk.display, width)
    assert all(width_of(line) <= width for item in items for line in item.lines)
    return "\n".join(text_of(line) for item in items for line in item.lines)


def test_each_make_says_what_it_wants_and_whether_that_counts(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    tomme = scene.made(30, kind="tomme", place="upper cave", salting_done=True)
    desk.append(tomme, scene.NOW - 9 * scene.DAY, "MK")
    found = facts(desk, "upper cave")
    assert "1–4  Alpine type, 40 d 0 h old, cave: wash weekly" in found
    assert "wants 11–14 °C, the lower edge; 90–96 %, which is the range" in found
    assert "30  Mountain tomme, 9 d 0 h old, cave: wash weekly" in found
    assert "wants 8–12 °C, the upper edge; from 88 %" in found
    assert "range 11–12 °C, Alpine type, cave / Mountain tomme, cave" in found
    assert facts(desk, "upper cave", 37)


def test_an_empty_place_says_so_and_sensors_are_told(scene: SimpleNamespace) -> None:
    desk = scene.FakeDesk()
    desk.read("upper cave.temperature", 12.0, scene.NOW - 600)
    found = facts(desk, "upper cave")
    assert "no wheels here" in found
    assert "nobody sets a range; last read 15:20; never checked" in found
