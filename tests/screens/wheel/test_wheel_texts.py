"""What the page of a wheel says in words: what is to do, done against planned, the record."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from cavewatch.core.countdown import Span
from cavewatch.core.journal import (
    Assayed,
    Lifted,
    Noted,
    Salted,
    Turned,
    Voided,
    Weighed,
)
from cavewatch.screens.groups import groups_of
from cavewatch.screens.lines import Line, Role, text_of, width_of
from cavewatch.screens.wheel.doings import doing_lines, doings
from cavewatch.screens.wheel.facts import fact_lines, salt_lines, solved_lines
from cavewatch.screens.wheel.record import record_lines
from cavewatch.units import Display

UTC = ZoneInfo("UTC")
NUMBERS = (14, 15, 16, 17)


def texts(lines: list[Line]) -> list[str]:
    return [text_of(line).rstrip() for line in lines]


def facts(desk: Any, width: int = 90) -> list[Line]:
    group = groups_of(desk.picture())[0]
    place = (desk.now(), UTC, Display(), width)
    solved = [] if group.countdown is None else solved_lines(group.countdown, *place)
    return [*fact_lines(group.wheel, group, *place), *solved]


def salted_wheel(scene: SimpleNamespace) -> Any:
    """In brine since 07:30, turned at 14:30 instead of 19:30, face salted a minute later."""
    desk = scene.quiet()
    desk.append(Turned(NUMBERS), scene.NOW - 3600, "MK")
    desk.append(Salted(NUMBERS, 9.0), scene.NOW - 3540, "MK")
    desk.solve()
    return desk


def test_a_wheel_shows_what_it_is_what_is_to_do_and_what_that_rests_on(
    scene: SimpleNamespace,
) -> None:
    desk = salted_wheel(scene)
    desk.countdowns = {n: replace(c, caution="warm brine") for n, c in desk.countdowns.items()}
    assert texts(facts(desk)) == [
        "wheel         Washed curd, 2.3 kg, 17.6 x 8.8 cm, brine tub, in brine, as 14–17",
        "to do         tomorrow 07:30: turn in 16 h 00",
        "              tomorrow 07:30: salt face, 8.0 to 11 g of salt each",
        "              Thu 19:30: lift (earliest Thu 17:00, latest Fri 00:20)",
        "salt so far   0.2 %, 0.5 % (0.4 to 0.6 %) in its moisture, as of 15:30",
        "salt aimed at 1.6 % (1.4 to 1.9 %)",
        "when lifted   1.6 % (1.3 to 1.9 %) salt, 4.1 % (3.2 to 5.2 %) in its moisture",
        "              weighing 2.25 kg (2.23 to 2.27 kg)",
        "rests on      brine at 20.1 % and 12.6 °C",
        "caution       warm brine",
        "meant so      turned so that both flat faces take up the same by the lift; salt for the",
        "              upper face until the next turn, or the lift",
    ]


def test_a_pending_wheel_shows_what_is_known(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.countdowns = {}
    assert "countdown     being worked out" in texts(facts(desk))


def table(scene: SimpleNamespace, desk: Any, width: int = 77) -> list[Line]:
    wheel = desk.wheels()[14]
    uptake = scene.taken_up(wheel, desk.countdowns.get(14), scene.NOW)
    return doing_lines(wheel, uptake, scene.NOW, UTC, Display(), width)


def test_what_was_done_stands_beside_what_was_planned(scene: SimpleNamespace) -> None:
    desk = salted_wheel(scene)
    desk.countdowns[14] = scene.later(desk.countdowns[14])
    assert texts(table(scene, desk)) == [
        "what              planned         done            difference",
        "in                –               07:30",
        "turned            19:30           14:30           5 h 00 sooner",
        "salted 9.0 g      19:30           14:31           4 h 59 sooner (8.0 to 11 g)",
        "turn              –               ~tomorrow 07:30 not planned",
        "salt 8.0 to 11 g  –               ~tomorrow 07:30 not planned",
        "lift              Thu 19:30       ~Thu 19:30      as planned",
        "why           lift 1 h 40 min later than planned: brine 18.9 % in the mean,",
        "              not 20.1 %",
    ]


def test_what_is_late_is_bright_and_says_so(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    wheel, now = desk.wheels()[14], scene.NOW + 5 * 3600
    uptake = scene.taken_up(wheel, desk.countdowns[14], now)
    lines = doing_lines(wheel, uptake, now, UTC, Display(), 77)
    bright = [part.text for line in lines for part in line if part.role is Role.ALERT]
    assert bright == ["late 1 h 00", "late 1 h 00"]


def test_a_lifted_wheel_says_when_it_had_its_aim_and_what_was_not_done(
    scene: SimpleNamespace,
) -> None:
    desk = scene.quiet()
    desk.append(Lifted(NUMBERS), scene.NOW - 600, "MK")
    desk.solve()
    found = texts(table(scene, desk))
    assert "lifted            Thu 19:30       15:20           2 d 4 h sooner" in found
    assert "turn              19:30           not done" in found
    assert found[-1].startswith("by the model  it had its aim Thu 19:30 (earliest Thu 17:00,")


def test_a_narrow_table_is_a_list(scene: SimpleNamespace) -> None:
    found = texts(table(scene, salted_wheel(scene), 37))
    assert found[:4] == ["in  07:30", "turned  14:30", "  planned 19:30", "  5 h 00 sooner"]


def test_coats_are_held_against_the_coats_of_the_plan(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.append(Salted((24, 25), 25.0), scene.NOW - 3600, "MK")
    desk.solve()
    wheel = desk.wheels()[24]
    rows = doings(wheel, scene.taken_up(wheel, desk.countdowns[24], scene.NOW))
    assert [(row.what, row.planned is not None, row.grams) for row in rows] == [
        ("in", False, None),
        ("salted", True, 25.0),
        ("salted", False, None),
        ("lifted", True, None),
    ]


def test_the_salt_of_a_lifted_wheel_and_its_evening_out_have_their_ranges(
    scene: SimpleNamespace,
) -> None:
    desk = scene.quiet()
    desk.append(Lifted(NUMBERS), scene.NOW - 600, "MK")
    desk.solve()
    uptake = scene.taken_up(desk.wheels()[14], None, scene.NOW)
    assert texts(salt_lines(uptake, scene.NOW, UTC, Display(), 90)) == [
        "when lifted   1.6 % (1.3 to 1.9 %) salt, 4.1 % (3.2 to 5.2 %) in its moisture",
        "salt aimed at 1.6 % (1.4 to 1.9 %)",
        "even          12 Apr 15:20 (earliest 2 Apr 15:20, latest 2 May 15:20)",
        "              evening out with 0.25 cm2/day (0.2 to 0.3) at 12.0 °C",
    ]


def record(scene: SimpleNamespace, desk: Any, width: int = 90) -> list[Line]:
    wheel = desk.wheels()[14]
    uptake = scene.taken_up(wheel, desk.countdowns.get(14), scene.NOW)
    return record_lines(wheel, uptake, desk.entries(), scene.NOW, UTC, Display(), width)


def test_weights_come_with_the_loss_and_assays_beside_the_model(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.append(Lifted(NUMBERS), scene.NOW - 7200, "MK")
    desk.append(Weighed((14,), 2254.0), scene.NOW - 3600, "MK")
    desk.append(Assayed((14,), 1.62, 0.1), scene.NOW - 1800, "MK")
    desk.append(Noted("rind soft at the edge", (14,)), scene.NOW - 900, "MK")
    desk.solve()
    assert texts(record(scene, desk)) == [
        "weights       2.3 kg as it went to salt",
        "              14:30: 2.25 kg",
        "              by the model at the lift 2.25 kg (2.23 to 2.27 kg)",
        "loss          lost 2.0 % since it went to salt",
        "assays        15:00: 1.62 ± 0.10 % salt",
        "              by the model at the lift 1.6 % (1.3 to 1.9 %)",
        "notes         15:15: rind soft at the edge",
        "entries       13:30: lifted wheels 14–17, MK",
        "              07:30: new wheels 14–17 in brine tub, MK",
    ]


def test_a_voided_entry_stays_marked_with_who_and_why(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    wrong = desk.append(Weighed((14,), 1254.0), scene.NOW - 3600, "MK")
    desk.append(Voided(wrong.id, "misread the scale"), scene.NOW, "TO")
    lines = record(scene, desk)
    assert "weights       14:30" not in " ".join(texts(lines))
    struck = next(line for line in lines if "×" in text_of(line))
    assert text_of(struck) == (
        "entries       × void 14:30: wheel 14 weighed: 1.3 kg, MK - voided by TO 15:30: misread the"
    )
    assert struck[1].role is Role.FAINT


def test_entries_about_other_wheels_are_left_out(scene: SimpleNamespace) -> None:
    desk = scene.quiet()
    desk.append(Noted("only one", (15,)), scene.NOW, "MK")
    assert "only one" not in " ".join(texts(record(scene, desk)))


@pytest.mark.parametrize("width", [37, 77, 117])
def test_hostile_text_is_shown_harmlessly_and_nothing_is_too_wide(
    scene: SimpleNamespace, width: int
) -> None:
    desk = salted_wheel(scene)
    desk.append(Noted("\x1b[31m[bold]漢字\u202e" + "x" * 10_000, (14,)), scene.NOW, "M\x07K")
    lines = [*record(scene, desk, width), *facts(desk, width), *table(scene, desk, width)]
    assert not {"\x1b", "\x07", "\u202e"} & set("".join(texts(lines)))
    assert max(width_of(line) for line in lines) <= width


def test_a_dose_that_rounds_away_is_one_number(scene: SimpleNamespace) -> None:
    desk = salted_wheel(scene)
    wheel = desk.wheels()[14]
    uptake = scene.taken_up(wheel, desk.countdowns[14], scene.NOW)
    sure = [replace(s, grams=s.grams and Span(9, 9, 9)) for s in uptake.planned]
    lines = doing_lines(wheel, replace(uptake, planned=tuple(sure)), scene.NOW, UTC, Display(), 77)
    assert "(9.0 g)" in " ".join(texts(lines))
