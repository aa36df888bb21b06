"""Summer time, zones and leap days, as people read and type them.

Worked from the rules: in the European Union clocks change at 01:00 UTC on the last Sundays of
March and October (Directive 2000/84/EC, Art. 2 and 3), which in 2026 are the 29th and the
25th; in the United States at 02:00 local time on the second Sunday of March and the first of
November (15 U.S.C. 260a), in 2026 the 8th and the 1st. The zone database gives the
same; it also has Lord Howe Island, which shifts by half an hour.
"""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from cavewatch import clock

PARIS, YORK = clock.zone("Europe/Paris"), clock.zone("America/New_York")
HOWE = clock.zone("Australia/Lord_Howe")
HOUR = 3600.0


def utc(text: str) -> float:
    return datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp()


@pytest.mark.parametrize(
    ("at", "where", "shown"),
    [
        ("2026-03-29 00:59:59", PARIS, "2026-03-29T01:59:59+01:00"),
        ("2026-03-29 01:00:00", PARIS, "2026-03-29T03:00:00+02:00"),
        ("2026-10-25 00:59:59", PARIS, "2026-10-25T02:59:59+02:00"),
        ("2026-10-25 01:00:00", PARIS, "2026-10-25T02:00:00+01:00"),
        ("2026-03-08 06:59:59", YORK, "2026-03-08T01:59:59-05:00"),
        ("2026-03-08 07:00:00", YORK, "2026-03-08T03:00:00-04:00"),
        ("2026-11-01 06:00:00", YORK, "2026-11-01T01:00:00-05:00"),
        ("2026-07-01 00:00:00", HOWE, "2026-07-01T10:30:00+10:30"),
        ("2026-01-01 00:00:00", HOWE, "2026-01-01T11:00:00+11:00"),
        ("2028-02-29 12:00:00", PARIS, "2028-02-29T13:00:00+01:00"),
        ("2028-02-29 23:30:00", PARIS, "2028-03-01T00:30:00+01:00"),
    ],
)
def test_an_instant_is_shown_as_the_clock_on_the_wall_has_it(
    at: str, where: clock.ZoneInfo, shown: str
) -> None:
    assert clock.iso(utc(at), where) == shown


@pytest.mark.parametrize(
    ("text", "present", "where", "at"),
    [
        ("2026-10-25 02:30", "2026-10-26 12:00", PARIS, "2026-10-25 00:30"),  # the first of two
        ("2026-10-25T02:30+01:00", "2026-10-26 12:00", PARIS, "2026-10-25 01:30"),
        ("yesterday 12:00", "2026-10-26 11:00", PARIS, "2026-10-25 11:00"),
        ("yesterday 12:00", "2026-10-25 11:00", PARIS, "2026-10-24 10:00"),
        ("24 h ago", "2026-10-25 11:00", PARIS, "2026-10-24 11:00"),
        ("1 d ago", "2026-10-25 11:00", PARIS, "2026-10-24 11:00"),
        ("today 03:00", "2026-03-29 10:00", PARIS, "2026-03-29 01:00"),
        ("16:30", "2026-11-01 23:00", YORK, "2026-11-01 21:30"),
        ("2028-02-29 12:00", "2028-03-01 12:00", PARIS, "2028-02-29 11:00"),
        ("yesterday 12:00", "2028-03-01 12:00", PARIS, "2028-02-29 11:00"),
        ("yesterday 12:00", "2027-03-01 12:00", PARIS, "2027-02-28 11:00"),
    ],
)
def test_a_typed_time_is_the_instant_that_the_clock_on_the_wall_had_then(
    text: str, present: str, where: clock.ZoneInfo, at: str
) -> None:
    assert clock.instant(text, utc(present), where) == utc(at)


# 2026-03-04 is a Wednesday, the clock in Paris an hour ahead of UTC; two from 03-29 to 10-25.
@pytest.mark.parametrize(
    ("text", "present", "last", "next_"),
    [
        ("Fri 07:00", "2026-03-04 09:00", "2026-02-27 06:00", "2026-03-06 06:00"),
        (" friday  7:00 ", "2026-03-04 09:00", "2026-02-27 06:00", "2026-03-06 06:00"),
        ("WEDNES 09:30", "2026-03-04 09:00", "2026-03-04 08:30", "2026-03-11 08:30"),
        ("wed 10:30", "2026-03-04 09:00", "2026-02-25 09:30", "2026-03-04 09:30"),
        ("wed 10:00", "2026-03-04 09:00", "2026-03-04 09:00", "2026-03-04 09:00"),
        ("thu 10:00+00:00", "2026-03-04 09:00", "2026-02-26 10:00", "2026-03-05 10:00"),
        # It is Thursday in Paris already.
        ("thu 00:10", "2026-03-04 23:30", "2026-03-04 23:10", "2026-03-11 23:10"),
        # Summer time begins and ends between now and then.
        ("mon 07:00", "2026-03-28 09:00", "2026-03-23 06:00", "2026-03-30 05:00"),
        ("mon 07:00", "2026-10-24 09:00", "2026-10-19 05:00", "2026-10-26 06:00"),
        ("fri 07:00", "2026-03-29 10:00", "2026-03-27 06:00", "2026-04-03 05:00"),
        # The skipped hour of this Sunday is past, or to come: the other Sunday is meant.
        ("sun 02:30", "2026-03-29 00:30", "2026-03-22 01:30", None),
        ("sun 02:30", "2026-03-29 10:00", None, "2026-04-05 00:30"),
        # Of an hour that comes twice, the first is meant, also in the second.
        ("sun 02:30", "2026-10-25 01:15", "2026-10-25 00:30", "2026-11-01 01:30"),
        ("sat 12:00", "2028-02-28 12:00", "2028-02-26 11:00", "2028-03-04 11:00"),
    ],
)
def test_a_day_of_the_week_is_the_last_one_or_the_next(
    text: str, present: str, last: str | None, next_: str | None
) -> None:
    for ahead, at in ((False, last), (True, next_)):
        if at is None:
            with pytest.raises(clock.TimeError, match="does not exist"):
                clock.instant(text, utc(present), PARIS, ahead=ahead)
        else:
            assert clock.instant(text, utc(present), PARIS, ahead=ahead) == utc(at)


@given(st.floats(utc("2026-01-01"), utc("2028-01-01")), st.integers(0, 6), st.booleans())
def test_what_is_said_of_a_time_this_week_is_read_as_that_time(
    present: float, days: int, ahead: bool
) -> None:
    there = clock.local(present, PARIS) + timedelta(days=days if ahead else -days)
    at = there.replace(hour=12, minute=0, second=0, microsecond=0).timestamp()
    assume(at >= present if ahead else at <= present)
    said = f"{clock.local(at, PARIS):%a %H:%M}"
    assert clock.instant(said, present, PARIS, ahead=ahead) == at


@pytest.mark.parametrize(
    "text", ["fr 07:00", "fri", "frida", "fridays 07:00", "fri 25:00", "day 7:00"]
)
def test_what_is_no_day_of_the_week_with_a_time_is_refused(text: str) -> None:
    with pytest.raises(clock.TimeError, match=r"is not a time; write .*'Fri 16:30'"):
        clock.instant(text, utc("2026-03-04 09:00"), PARIS)


@pytest.mark.parametrize("text", ["2026-03-29 02:30", "2027-02-29 12:00"])
def test_a_time_that_there_never_was_is_refused(text: str) -> None:
    with pytest.raises(clock.TimeError, match=text):
        clock.instant(text, utc("2027-03-01 12:00"), PARIS)


def test_a_day_of_twenty_five_hours_is_still_the_next_day() -> None:
    noon = utc("2026-10-24 10:00")
    assert clock.moment(noon + 24 * HOUR, noon, PARIS) == "tomorrow 11:00"
    assert clock.moment(noon + 25 * HOUR, noon, PARIS) == "tomorrow 12:00"
    assert clock.duration(25 * HOUR) == "1 d 1 h"


def test_a_leap_day_is_a_day_between_two_others() -> None:
    noon = utc("2028-02-28 11:00")
    assert clock.moment(noon + 24 * HOUR, noon, PARIS) == "tomorrow 12:00"
    assert clock.moment(noon + 48 * HOUR, noon, PARIS) == "Wed 12:00"
    assert clock.moment(noon - 48 * HOUR, noon + 48 * HOUR, PARIS) == "26 Feb 12:00"


@pytest.mark.parametrize(
    ("text", "relative"),
    [
        ("now", True),
        ("", True),
        (" NOW ", True),
        ("3 h ago", True),
        ("2 d 3 h 20 min ago", True),
        (" ago", False),
        ("16:30", False),
        ("yesterday 16:30", False),
        ("Fri 16:30", False),
        ("2026-03-01T16:30+01:00", False),
    ],
)
def test_a_time_that_counts_from_now_is_told_from_one_of_the_clock_on_the_wall(
    text: str, relative: bool
) -> None:
    assert clock.is_relative(text) is relative
