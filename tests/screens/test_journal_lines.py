"""Entries as lines, and finding them by what one types."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core import journal
from cavewatch.core.journal import Act, Entry
from cavewatch.core.style import Method
from cavewatch.screens.journal_lines import Told, entry_lines, journal_line
from cavewatch.screens.journal_search import Query, searched
from cavewatch.screens.lines import clean, text_of, width_of
from cavewatch.units import Display, System

NOW = datetime(2026, 3, 3, 15, 30, tzinfo=UTC).timestamp()
HOUR = 3600.0
ZONE = ZoneInfo("UTC")
METRIC = Display()


def entry(act: Act, at: float = NOW - HOUR, by: str = "MK", late: float = 0.0) -> Entry:
    return Entry(12, at, at + late, by, act)


TURNED = entry(journal.Turned((14, 15, 16)))
VOID = Entry(13, NOW - 60, NOW - 60, "AB", journal.Voided(12, "it was wheel 18"))


def line(told: Told, width: int = 77) -> str:
    return text_of(journal_line(told, NOW, ZONE, METRIC, width)).rstrip()


def whole(told: Told) -> list[str]:
    return [text_of(each).rstrip() for each in entry_lines(told, {}, NOW, ZONE, METRIC, 77)]


def found(text: str, what: Entry, mended: Entry | None = None) -> bool:
    words = searched(what, mended, ZONE, METRIC)
    return Query.typed(text, NOW, ZONE).finds(what, words, ZONE)


def test_a_line_tells_when_who_and_what() -> None:
    assert line(Told(TURNED)) == "Tue  3 Mar 14:30  MK   turned wheels 14–16"
    assert line(Told(TURNED), 37) == " 3 Mar 14:30  MK   turned wheels 14–…"


def test_an_entry_of_another_year_tells_the_year() -> None:
    old = entry(journal.Noted("old"), at=NOW - 100 * 24 * HOUR)
    assert line(Told(old)) == "23 Nov 2025 15:30  MK   note: old"
    assert line(Told(old), 37) == "23 Nov 2025   MK   note: old"


def test_when_it_was_written_stands_beside_it_where_that_differs() -> None:
    late = entry(journal.Turned((14,)), late=HOUR)
    assert line(Told(late)).endswith("written 15:30")
    assert "written       Tue 3 Mar 2026 15:30, 1 h 00 min after it" in whole(Told(late))
    soon = Told(entry(journal.Turned((14,)), late=180.0))
    assert "written" not in line(soon)
    assert "written       Tue 3 Mar 2026 14:33, 3 min after it" in whole(soon)
    assert "written" not in line(Told(TURNED)) + "".join(whole(Told(TURNED)))


def test_what_is_void_says_by_whom_and_why_even_where_there_is_little_room() -> None:
    told = Told(TURNED, void=VOID)
    assert line(told).endswith("AB: it was wheel 18")
    assert "void: turned wheels 14–16" in line(told)
    note = Told(entry(journal.Noted("word " * 40)), void=VOID)
    assert line(note).endswith("AB: it was wheel 18")
    assert "void          by AB, 15:29 (entry 13): it was wheel 18" in whole(told)


def test_a_correction_says_what_it_corrects() -> None:
    told = Told(VOID, mended=TURNED)
    assert "voided entry 12: turned wheels 14–16" in line(told)
    corrects = "corrects      entry 12 of Tue 3 Mar 2026 14:30, by MK: turned wheels 14–16"
    assert corrects in whole(told)


def test_a_make_and_a_shelving_are_told_whole() -> None:
    made = journal.Made((1, 2), "alpine", Method.BRINE, 2300.0, "brine tub", lot="T-7")
    assert "make          alpine, 2.3 kg each, brine, lot T-7" in whole(Told(entry(made)))
    shelved = whole(Told(entry(journal.Shelved("a", NOW + HOUR, "new probe"))))
    assert "why           new probe" in shelved
    assert "until         Tue 3 Mar 2026 16:30" in shelved


@pytest.mark.parametrize(
    "text",
    [
        "",
        "turned",
        "TURN",
        "wheel 15",
        "wheels 14-15",
        "wheels 10 - 20 turned",
        "15",
        "mk",
        "mk turned 14",
        "2026-03-03",
        "2026-03",
        "3 march",
        "tue",
        "today",
        "#12",
        "14:30",
    ],
)
def test_an_entry_is_found_by_what_it_is_about(text: str) -> None:
    assert found(text, TURNED)


@pytest.mark.parametrize(
    "text",
    ["wheel 18", "wheels 17-20", "18", "1", "ab", "lifted", "yesterday", "2026-04", "urned", "#2"],
)
def test_an_entry_is_not_found_by_what_it_is_not_about(text: str) -> None:
    assert not found(text, TURNED)


def test_places_styles_lots_and_reasons_are_found() -> None:
    made = entry(journal.Made((1,), "alpine", Method.BRINE, 2300.0, "brine tub", lot="T-7"))
    assert all(found(text, made) for text in ("brine tub", "alpine", "t-7", "made", "new"))
    tested = entry(journal.BrineMeasured("brine tub", strength=19.8))
    assert all(found(text, tested) for text in ("tub 19.8", "brine", "measured"))
    out = entry(journal.OutOfService("lower cave.humidity low", "new probe"))
    assert all(found(text, out) for text in ("lower cave", "probe", "out of service"))


def test_a_void_entry_is_found_with_what_voids_it_and_the_other_way_round() -> None:
    assert found("void", TURNED, VOID)
    assert found("wheel 14 void", TURNED, VOID)
    assert found("turned", VOID, TURNED)
    assert not found("void", TURNED)


def test_weights_are_found_in_the_units_that_are_shown() -> None:
    salted = entry(journal.Salted((14,), 453.6))
    words = searched(salted, None, ZONE, Display(System.US))
    assert Query.typed("1.0 lb", NOW, ZONE).finds(salted, words, ZONE)
    assert found("454 g", salted)


@given(st.text(max_size=80))
def test_whatever_is_typed_can_be_looked_for(text: str) -> None:
    Query.typed(text, NOW, ZONE).finds(TURNED, searched(TURNED, None, ZONE, METRIC), ZONE)


@given(st.text(max_size=300), st.text(max_size=20), st.integers(36, 130))
def test_no_entry_is_wider_than_its_line_or_holds_controls(text: str, by: str, width: int) -> None:
    told = Told(entry(journal.Noted(text), by=by, late=HOUR), void=VOID)
    lines = [journal_line(told, NOW, ZONE, METRIC, width)]
    lines += entry_lines(told, {}, NOW, ZONE, METRIC, width)
    assert all(width_of(each) <= width for each in lines)
    words = "".join(map(text_of, lines))
    assert not [c for c in words if clean(c) != c]
