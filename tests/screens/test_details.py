"""What opens behind a line, as text."""

from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from cavewatch.core.journal import (
    Against,
    BrineMeasured,
    Clarity,
    Lifted,
    SensorChecked,
)
from cavewatch.core.reading import Channel, Reading, SignalStatus
from cavewatch.screens.details import alarm_detail, fact, place_detail
from cavewatch.screens.lines import Line, Role, text_of, width_of

UTC = ZoneInfo("UTC")


def texts(lines: list[Line]) -> list[str]:
    return [text_of(line).rstrip() for line in lines]


def test_an_alarm_explains_itself(scene: SimpleNamespace) -> None:
    assert texts(alarm_detail(scene.TOO_DRY, scene.NOW, UTC, 77)) == [
        "what          lower cave is too dry: 84 %, at least 88 %",
        "state         unacknowledged, HIGH priority, since 13:30",
        "do            Shut the door and fill the humidifier. Wet the floor.",
        "respond       within 4 h, that is until 17:30",
        "if not done   The rind cracks, the smear stops and the wheels lose weight.",
        "likely causes Door open, humidifier empty, fan too fast.",
    ]


def test_the_time_to_respond_may_have_passed(scene: SimpleNamespace) -> None:
    late = texts(alarm_detail(scene.TOO_DRY, scene.NOW + 3 * 3600, UTC, 77))
    assert late[3] == "respond       within 4 h; that time passed 1 h 00 min ago"


def place(desk: Any, name: str, width: int = 77) -> list[Line]:
    dairy = desk.picture()
    view = next(v for v in dairy.places if v.place.name == name)
    trends = {item.channel: [9.0, 10.0] * 8 for item in view.channels}
    return place_detail(view, dairy, trends, desk.now(), UTC, desk.display, width)


def test_a_place_shows_values_ranges_curves_and_who_is_there(scene: SimpleNamespace) -> None:
    found = texts(place(scene.busy(), "lower cave"))
    assert "temperature   9.4 °C at 15:29" in found
    assert "range         8–12 °C, Mountain tomme, cave" in found
    assert "humidity      84 % at 15:29, below its range" in found
    assert found[-1] == "wheels        5–7, Mountain tomme, 20 d 0 h old, cave: wash weekly"
    assert sum("⡇" in line or "⢸" in line or "⣀" in line or "⠉" in line for line in found) >= 2


def test_a_tub_shows_its_brine_and_what_it_is_due_for(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.append(BrineMeasured("brine tub", 19.6, 5.3, clarity=Clarity.CLOUDY), scene.NOW, "MK")
    found = texts(place(desk, "brine tub", 90))
    assert found[:9] == [
        "kind          tub",
        "brine         19.6 %",
        "measured      19.6 % 15:30",
        "due next      measure the strength 10 Mar 15:30",
        "advice        it is cloudy: filter it, or heat it and let it settle (common practice, no",
        "              source)",
        "volume        about 60 L",
        "cheese        25.3 kg in it",
        "found         pH 5.3 15:30, cloudy 15:30",
    ]


def test_a_tub_shows_how_strong_it_is_by_now(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.append(Lifted((14, 15, 16, 17), "upper cave"), scene.NOW - 60, "MK")
    found = texts(place(desk, "brine tub", 90))
    # 9.2 kg at 1.6 % took 147 g of 13.9 kg of salt and gave 331 g of water to 69 kg of brine.
    assert "brine         19.8 % by now (19.7 to 19.9 %)" in found
    assert "cheese        16.1 kg in it, 9.2 kg lifted out" in found
    due = next(line for line in found if line.startswith("due now"))
    assert due.startswith("due now       look whether it is clear, skim it, measure the strength")


def test_a_place_says_when_its_sensors_were_checked(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    found = SensorChecked("lower cave.humidity", Against.TABLE_SALT, 76.0, -0.8, 0.5, True)
    desk.append(found, scene.NOW - 12 * 86_400, "MK")
    told = texts(place(desk, "lower cave", 120))
    assert "humidity      83 % at 15:29, below its range" in told
    assert (
        "sensor        checked 12 days ago: over table salt it reads 0.8 % high, corrected" in told
    )
    assert "sensor        never checked" in told


def test_a_value_outside_its_range_is_bright(scene: SimpleNamespace) -> None:
    bright = [line for line in place(scene.busy(), "lower cave") if line[1].role is Role.ALERT]
    assert [text_of(line)[:8] for line in bright] == ["humidity"]


def test_a_signal_that_is_not_good_is_explained(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    channel = Channel.named("lower cave.humidity")
    status = SignalStatus.OUT_OF_SPECIFICATION
    desk.latest[channel] = Reading(channel, scene.NOW - 700, 100.0, status)
    found = texts(place(desk, "lower cave", 120))
    assert (
        "humidity      100 % S at 15:18; out of specification: the signal is uncertain; "
        "silent for 11 min" in found
    )


def test_a_place_without_probe_says_so(scene: SimpleNamespace) -> None:
    assert "probe         none" in texts(place(scene.busy(), "salting tray"))


def test_on_a_narrow_screen_a_label_stands_above_its_text() -> None:
    assert texts(fact("do", "Shut the door.", 30)) == ["do", "  Shut the door."]
    assert texts(fact("", "and wait", 30)) == ["  and wait"]
    assert fact("caution", "", 30) == []


@pytest.mark.parametrize("width", [33, 70, 93])
def test_no_line_is_wider_than_its_frame(scene: SimpleNamespace, width: int) -> None:
    desk = scene.busy()
    lines = [
        *alarm_detail(scene.TOO_DRY, scene.NOW, UTC, width),
        *place(desk, "lower cave", width),
    ]
    assert max(width_of(line) for line in lines) <= width
