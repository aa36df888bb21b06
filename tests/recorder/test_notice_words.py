"""What a notice says."""

from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority
from cavewatch.core.alarms.table import State
from cavewatch.core.notices import PLACEHOLDERS, Kind, Message
from cavewatch.recorder.notice_words import LISTED, worded

NOW = datetime(2026, 7, 3, 15, 30, tzinfo=UTC).timestamp()
ZONE = ZoneInfo("Europe/Dublin")
DRY = Alarm(
    "cave.humidity low",
    State.UNACK,
    Priority.MEDIUM,
    NOW - 3600.0,
    Explanation("cave is too dry: 84 %, at least 90 %", "a door", "rinds crack", "shut it", 4.0),
    place="cave",
)


def said(kind: Kind, *alarms: Alarm) -> dict[str, str]:
    found = worded(Message(kind, alarms), "Hill dairy", NOW, ZONE)
    assert found.keys() == set(PLACEHOLDERS)
    return found


def test_an_alarm_is_told_with_what_to_do_in_the_time_of_the_dairy() -> None:
    assert said(Kind.ALARM, DRY) == {
        "dairy": "Hill dairy",
        "kind": "alarm",
        "title": "Hill dairy: cave is too dry: 84 %, at least 90 %",
        "text": "cave is too dry: 84 %, at least 90 %\n  medium, since 15:30\n"
        "  do, within 4 h 00 min: shut it\n  else: rinds crack",
        "what": "cave is too dry: 84 %, at least 90 %",
        "action": "shut it",
        "priority": "medium",
        "place": "cave",
        "count": "1",
    }


def test_several_are_counted_and_listed_up_to_a_number() -> None:
    found = said(Kind.AGAIN, *(replace(DRY, key=str(n)) for n in range(LISTED + 2)))
    assert found["title"].startswith(f"Hill dairy: still: {LISTED + 2} alarms: cave is too dry")
    assert found["text"].count("shut it") == LISTED
    assert found["text"].endswith("and 2 more: 'cavewatch status' shows all")
    assert found["count"] == str(LISTED + 2)


def test_what_has_passed_says_so_and_asks_for_nothing() -> None:
    found = said(Kind.ALARM, replace(DRY, state=State.RTNUN))
    assert found["title"].endswith("at least 90 %, but that has passed")
    assert "nobody has acknowledged it" in found["text"]
    assert "shut it" not in found["text"]


def test_all_is_well_names_what_stands_nevertheless() -> None:
    assert said(Kind.WELL)["title"] == "Hill dairy: all is well again"
    found = said(Kind.WELL, DRY)
    assert found["title"].endswith("all is well again, but 1 alarm of another sort still there")
    assert "cave is too dry" in found["text"]
    assert found["priority"] == ""


def test_a_trial_says_that_nothing_is_wrong() -> None:
    assert said(Kind.TRIAL)["text"] == "this is a trial; nothing is wrong"


def test_what_a_terminal_could_obey_is_left_out() -> None:
    hostile = replace(DRY.explanation, what="\x1b[2Jdry\n\x00", action="\x9b1mshut")
    found = said(Kind.ALARM, replace(DRY, explanation=hostile, place="\x07cave"))
    assert not {"\x1b", "\x00", "\x9b", "\x07"} & set("".join(found.values()))
