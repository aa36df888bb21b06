"""Forms without a screen: what their fields say, and the act they make."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from cavewatch import clock
from cavewatch.core import journal
from cavewatch.core.countdown import Action, Span
from cavewatch.core.due import Task
from cavewatch.core.errors import CavewatchError
from cavewatch.core.journal import Ending, Entry, Wash
from cavewatch.core.shape import Cylinder
from cavewatch.core.style import Method
from cavewatch.screens.brine_test import brine_test
from cavewatch.screens.fields import Checked, check
from cavewatch.screens.new_wheels import new_wheels
from cavewatch.screens.sheets import Sheet, Sheets, Target, When, time_echo, time_of_log

GROUP = Target((14, 15, 16, 17), (14, 15, 16, 17), (14, 15, 16, 17, 18), "brine tub", 9.0)


@pytest.fixture
def sheets(scene: SimpleNamespace) -> Sheets:
    desk = scene.busy()
    return Sheets(desk, desk.picture(), GROUP)


def fill(sheet: Sheet, **typed: str) -> Checked:
    texts = {field.name: field.initial for field in sheet.fields}
    assert set(typed) <= set(texts)
    return check(sheet.fields, {**texts, **typed})


def act(sheet: Sheet, **typed: str) -> journal.Act:
    checked = fill(sheet, **typed)
    assert not checked.faults
    return sheet.build(checked.values)


def test_turned_is_ready_to_be_written(sheets: Sheets, scene: SimpleNamespace) -> None:
    assert act(sheets.turned()) == journal.Turned((14, 15, 16, 17))
    values = fill(sheets.turned()).values
    assert (values["when"], values["by"]) == (When(scene.NOW, False), "MK")


def test_the_rind_form_offers_the_work_that_is_due(sheets: Sheets) -> None:
    assert act(sheets.washed()) == journal.Washed((14, 15, 16, 17), Wash.WASH)
    due = Task(Action.BRUSH, Span(0, 0, 0), (16,), "cave", "Tomme", None, every=86400.0)
    brushed = replace(sheets, dairy=replace(sheets.dairy, tasks=(due,)))
    assert act(brushed.washed()) == journal.Washed((14, 15, 16, 17), Wash.BRUSH)
    assert act(brushed.washed(), how="oil") == journal.Washed((14, 15, 16, 17), Wash.OIL)


def test_an_action_applies_to_the_selection_the_place_or_typed_wheels(sheets: Sheets) -> None:
    which = next(field for field in sheets.turned().fields if field.name == "which")
    assert [label for label, _ in which.choices] == [
        "14–17, selected",
        "14–18, all in brine tub",
        "as typed below",
    ]
    everything, typed = which.choices[1][1], which.choices[2][1]
    assert act(sheets.turned(), which=everything) == journal.Turned((14, 15, 16, 17, 18))
    assert act(sheets.turned(), which=typed, wheels="15, 20-22") == journal.Turned((15, 20, 21, 22))
    assert (
        "there is no wheel 99" in fill(sheets.turned(), which=typed, wheels="99").faults["wheels"]
    )


def test_salt_is_offered_as_the_step_asks_and_echoed_in_all(sheets: Sheets) -> None:
    assert act(sheets.salted()) == journal.Salted((14, 15, 16, 17), 9.0)
    assert fill(sheets.salted(), grams="0.5 oz").echoes["grams"] == "14 g each, 57 g in all"


@pytest.mark.parametrize(
    ("grams", "why"),
    [
        ("5 parsnips", "'5 parsnips' is not a weight"),
        ("9", "has no unit"),
        ("-9 g", "not above zero"),
        ("3 kg", "as much salt as wheel 14 weighs"),
        ("", "still to be filled in"),
    ],
)
def test_impossible_salt_is_refused_with_a_reason(sheets: Sheets, grams: str, why: str) -> None:
    assert why in fill(sheets.salted(), grams=grams).faults["grams"]


def test_lifted_may_go_anywhere_but_into_brine(sheets: Sheets) -> None:
    place = next(field for field in sheets.lifted().fields if field.name == "place")
    assert "brine tub" not in [text for _, text in place.choices]
    assert act(sheets.lifted()) == journal.Lifted((14, 15, 16, 17), None)
    assert act(sheets.lifted(), place="drying rack") == journal.Lifted(
        (14, 15, 16, 17), "drying rack"
    )


def test_moved_and_ended(sheets: Sheets) -> None:
    assert act(sheets.moved(), place="upper cave") == journal.Moved((14, 15, 16, 17), "upper cave")
    assert fill(sheets.moved(), place="brine tub").echoes["place"] == "into brine"
    assert act(sheets.ended(), how="discarded", why="blown") == journal.Ended(
        (14, 15, 16, 17), Ending.DISCARDED, "blown"
    )


@pytest.fixture
def tub_test(scene: SimpleNamespace) -> Sheet:
    desk = scene.busy()
    return brine_test(desk, desk.picture(), GROUP)


@pytest.mark.parametrize(
    ("typed", "strength"), [("20 %", 20.0), ("80 salometer", pytest.approx(21.1, abs=0.1))]
)
def test_brine_is_read_on_any_scale(tub_test: Sheet, typed: str, strength: float) -> None:
    assert act(tub_test, strength=typed) == journal.BrineMeasured("brine tub", strength)
    assert "is more than water holds" in fill(tub_test, strength="30 %").faults["strength"]


def test_a_look_or_a_ph_without_strength_is_a_test_too(tub_test: Sheet) -> None:
    assert act(tub_test, clarity="cloudy") == journal.BrineMeasured(
        "brine tub", clarity=journal.Clarity.CLOUDY
    )
    assert act(tub_test, ph="5,2", temperature="54 F") == journal.BrineMeasured(
        "brine tub", ph=5.2, temperature=pytest.approx(12.2, abs=0.03)
    )
    assert "filled in" in fill(tub_test).faults["strength"]


@pytest.mark.parametrize("typed", ["sour", "nan", "52", "-5"])
def test_what_is_no_ph_is_refused(tub_test: Sheet, typed: str) -> None:
    assert "like 5.2" in fill(tub_test, ph=typed).faults["ph"]


def test_a_note_needs_words_and_may_name_wheels(sheets: Sheets) -> None:
    assert act(sheets.noted(), text=" soft rind ") == journal.Noted("soft rind")
    assert act(sheets.noted(), text="x", which="14,15") == journal.Noted("x", (14, 15))
    assert "text" in fill(sheets.noted(), text="  ").faults


def test_void_names_the_entry_and_what_it_said(sheets: Sheets, scene: SimpleNamespace) -> None:
    entry = Entry(42, scene.NOW, scene.NOW, "MK", journal.Turned((14,)))
    assert sheets.voided(entry).title == "Void entry 42: turned wheel 14"
    assert act(sheets.voided(entry), why="wrong wheel") == journal.Voided(42, "wrong wheel")


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("tomorrow 09:00", "still to come"),
        ("2026-02-01 09:00", "wheel 14 was not made before"),
        ("half past", "is not a time"),
    ],
)
def test_an_impossible_time_is_refused(sheets: Sheets, typed: str, why: str) -> None:
    assert why in fill(sheets.turned(), when=typed).faults["when"]


def test_a_past_time_is_echoed_as_understood(sheets: Sheets, scene: SimpleNamespace) -> None:
    checked = fill(sheets.turned(), when="20 min ago")
    assert checked.values["when"] == When(scene.NOW - 1200, False)
    assert checked.echoes["when"] == "Tue 03 Mar 15:10, 20 min ago"
    checked = fill(sheets.turned(), when="yesterday 16:30")
    assert checked.faults["when"].startswith("wheel 14 was not made before")


def test_a_time_of_another_year_is_echoed_with_it(scene: SimpleNamespace) -> None:
    echo = time_echo(scene.FakeDesk())
    assert echo(scene.NOW, {}) == "Tue 03 Mar 15:30"
    assert echo(scene.NOW - 90 * scene.DAY, {}) == "03 Dec 2025 15:30, 90 d 0 h ago"
    assert echo(scene.NOW + 2 * scene.HOUR, {}) == "Tue 03 Mar 17:30, in 2 h 00 min"


@pytest.mark.parametrize("by", ["", "   ", "far too long"])
def test_initials_are_needed_and_short(sheets: Sheets, by: str) -> None:
    assert "initials of 1 to 8" in fill(sheets.turned(), by=by).faults["by"]


def test_without_wheels_or_tubs_a_form_does_not_open(scene: SimpleNamespace) -> None:
    desk = scene.FakeDesk(scene.PLACES[1:])
    sheets = Sheets(desk, desk.picture(), Target((), (), (), ""))
    with pytest.raises(CavewatchError, match="there is no wheel yet"):
        sheets.turned()
    with pytest.raises(CavewatchError, match="there is no tub"):
        brine_test(desk, desk.picture(), GROUP)
    assert act(sheets.noted(), text="first day") == journal.Noted("first day")


@pytest.fixture
def make(scene: SimpleNamespace) -> Sheet:
    desk = scene.busy()
    return new_wheels(desk, desk.picture(), GROUP)


def test_new_wheels_take_what_is_usual_unless_told_otherwise(make: Sheet) -> None:
    assert act(make, style="tomme", count="3", weight="5 lb") == journal.Made(
        wheels=(27, 28, 29),
        style="tomme",
        method=Method.BRINE,
        weight=pytest.approx(2268, abs=0.1),
        place="brine tub",
    )


def test_new_wheels_with_everything_given(make: Sheet, scene: SimpleNamespace) -> None:
    made: Any = act(
        make,
        count="1",
        weight="2.3 kg",
        size="7 in x 3.5 in",
        method="dry",
        place="salting tray",
        floats="held",
        temperature="86 degF",
        made="yesterday 11:00",
        lot="L7",
        when="15:00",
    )
    assert made.shape == Cylinder(pytest.approx(17.78), pytest.approx(8.89))
    assert (made.method, made.place, made.floats, made.lot) == (
        Method.DRY,
        "salting tray",
        False,
        "L7",
    )
    assert made.temperature == pytest.approx(30.0)
    assert (made.made_at, made.made_ago) == (scene.NOW - 28.5 * scene.HOUR, False)


def test_when_it_was_made_may_be_told_as_so_long_ago(make: Sheet, scene: SimpleNamespace) -> None:
    made: Any = act(make, weight="5 lb", made="5 h ago")
    assert (made.made_at, made.made_ago) == (scene.NOW - 5 * scene.HOUR, True)


def test_what_is_typed_is_echoed_in_the_makers_units(make: Sheet) -> None:
    echoes = fill(make, count="3", weight="5 lb").echoes
    assert echoes["count"] == "wheels 27–29"
    assert echoes["weight"] == "2.27 kg each; usual is 1.5 kg to 5.0 kg"
    assert echoes["size"].startswith("usual: 17.")


@pytest.mark.parametrize(
    ("typed", "field", "why"),
    [
        ({"weight": "5 parsnips"}, "weight", "'5 parsnips' is not a weight"),
        ({"count": "0"}, "count", "not a whole number from 1 to 500"),
        ({"size": "18 parsnips"}, "size", "not the size of a cheese"),
        ({"size": "70 in x 30 in"}, "size", "g per cm3"),
        ({"method": "milled"}, "method", "salted by brine or dry, not by milled"),
        ({"place": "upper cave"}, "place", "upper cave is no tub"),
        ({"method": "dry"}, "place", "brine tub is a tub"),
        ({"salted": "before"}, "place", "brine tub is a tub"),
        ({"temperature": "86"}, "temperature", "has no unit"),
        ({"temperature": "86 degC"}, "temperature", "0 to 45 degC"),
        ({"made": "tomorrow 09:00"}, "made", "still to come"),
    ],
)
def test_an_impossible_make_is_refused_with_a_reason(
    make: Sheet, typed: dict[str, str], field: str, why: str
) -> None:
    assert why in fill(make, **{"weight": "2.3 kg", **typed}).faults[field]


def test_the_place_says_what_its_brine_still_takes(make: Sheet) -> None:
    # 60 L at 20.1 % hold 13.9 kg of salt; 15 wheels of 2.3 kg at 1.6 % take part of what is
    # spare above 18 %.
    echo = fill(make, weight="2.3 kg").echoes["place"]
    assert echo.startswith("takes about ")
    assert echo.endswith(" before it falls below 18 %")
    many = fill(make, weight="2.3 kg", count="100").echoes["place"]
    assert many == "restore it first: it falls below 18 % before these are done"
    unread = fill(make, weight="5 parsnips").echoes["place"]
    assert unread == echo
    dry = fill(make, weight="2.3 kg", method="dry", place="salting tray")
    assert dry.echoes["place"] == "tray"


def test_a_tub_that_takes_no_more_says_so(scene: SimpleNamespace) -> None:
    desk = scene.busy()
    desk.append(journal.BrineMeasured("brine tub", 18.0), scene.NOW, "MK")
    make = new_wheels(desk, desk.picture(), GROUP)
    assert fill(make).echoes["place"].startswith("restore it first")


def test_every_form_ends_with_time_and_initials(
    sheets: Sheets, make: Sheet, tub_test: Sheet
) -> None:
    forms = [sheets.turned(), sheets.salted(), sheets.noted(), tub_test, make]
    assert {tuple(field.name for field in form.fields[-2:]) for form in forms} == {("when", "by")}


@pytest.mark.parametrize(
    ("text", "day"),
    [("Fri 07:00", "2026-03-06"), ("monday 07:00", "2026-03-02"), ("Tue 07:00", "2026-03-03")],
)
def test_a_day_of_the_week_is_the_next_of_a_log_or_else_the_last(
    scene: SimpleNamespace, text: str, day: str
) -> None:
    # It is a Tuesday afternoon; the log ends on the Sunday after.
    field = time_of_log(scene.busy(), scene.NOW - 5 * scene.DAY, scene.NOW + 5 * scene.DAY)
    assert f"{clock.local(field.read(text, {}), ZoneInfo('UTC')):%Y-%m-%d %H:%M}" == f"{day} 07:00"


def test_a_form_for_what_has_happened_takes_the_last_such_day(
    scene: SimpleNamespace, sheets: Sheets
) -> None:
    assert fill(sheets.turned(), when="Tue 15:10").echoes["when"] == "Tue 03 Mar 15:10, 20 min ago"
    desk = scene.busy()
    checked = fill(brine_test(desk, desk.picture(), GROUP), when="Wed 16:30")
    assert checked.echoes["when"] == "Wed 25 Feb 16:30, 5 d 23 h ago"
