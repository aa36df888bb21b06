"""What is due as a list by day."""

from types import SimpleNamespace
from zoneinfo import ZoneInfo

from cavewatch.core.reading import Channel
from cavewatch.screens.due_lines import Chore, chores, due_items
from cavewatch.screens.lines import Item, Role, text_of, width_of
from cavewatch.units import Display

UTC = ZoneInfo("UTC")
HOUR, DAY = 3600.0, 86400.0


def texts(items: list[Item]) -> list[str]:
    return [text_of(line).rstrip() for item in items for line in item.lines]


def items(scene: SimpleNamespace, *offsets: float | None, width: int = 77) -> list[Item]:
    now = scene.NOW
    found = [
        Chore(str(n), f"chore {n}", None if offset is None else now + offset)
        for n, offset in enumerate(offsets)
    ]
    return due_items(found, (), now, UTC, width)


def test_the_list_is_headed_by_day_and_what_is_late_comes_first(scene: SimpleNamespace) -> None:
    offsets = (-26 * HOUR, -720.0, 0.0, 3 * HOUR, 15 * HOUR, 3 * DAY, 9 * DAY, None)
    assert texts(items(scene, *offsets)) == [
        "late, 2",
        "  late 1 d 2 h   yesterday 13:30  chore 0",
        "  late 12 min    15:18            chore 1",
        "today, Tue 3 Mar",
        "  now            15:30  chore 2",
        "  in 3 h 00      18:30  chore 3",
        "tomorrow, Wed 4 Mar",
        "  in 15 h 00     06:30  chore 4",
        "Fri 6 Mar",
        "  in 3 d 0 h     15:30  chore 5",
        "after this week",
        "  in 9 d 0 h     12 Mar 15:30  chore 6",
        "any day",
        "  chore 7",
    ]


def test_only_what_is_due_is_bright(scene: SimpleNamespace) -> None:
    found = items(scene, -720.0, 3 * HOUR)
    bright = [
        [p.text.strip() for p in line if p.role is Role.ALERT] for i in found for line in i.lines
    ]
    assert bright == [["late, 1"], ["late 12 min"], [], []]


def test_the_cursor_stands_below_the_heading(scene: SimpleNamespace) -> None:
    assert [item.above for item in items(scene, -720.0, -60.0, HOUR)] == [1, 0, 1]


def test_on_a_narrow_screen_the_work_stands_below_its_time_and_is_whole(
    scene: SimpleNamespace,
) -> None:
    words = "put 9.0 g of salt each on the face of wheels 14–17 in brine tub"
    found = due_items([Chore("a", words, scene.NOW + HOUR)], {"a"}, scene.NOW, UTC, 37)
    assert texts(found) == [
        "today, Tue 3 Mar",
        "■ in 1 h 00      16:30",
        "  put 9.0 g of salt each on the face",
        "  of wheels 14–17 in brine tub",
    ]
    assert all(width_of(line) <= 37 for line in found[0].lines)


def test_wheels_tubs_and_sensors_are_gathered_in_one_order(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    found = chores(desk.picture(), Display())
    times = [chore.at for chore in found if chore.at is not None]
    assert times == sorted(times)
    assert len({chore.key for chore in found}) == len(found)
    last = found[-1]
    assert last.at is None
    assert last.channel == Channel.named("upper cave.temperature")
    assert last.words == "check the temperature sensor of upper cave, never checked so far"
