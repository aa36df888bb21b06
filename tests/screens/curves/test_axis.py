"""The time axis."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.series import Bins
from cavewatch.screens.curves import time_axis
from cavewatch.screens.curves.spans import Span
from cavewatch.screens.lines import text_of, width_of

DUBLIN = ZoneInfo("Europe/Dublin")
NOW = datetime(2026, 3, 3, 15, 30, tzinfo=UTC).timestamp()


def axis(now: float, span: Span, columns: int = 60, ascii_only: bool = False) -> str:
    bins = Bins.before(now, span.seconds, 2 * columns)
    return text_of(time_axis(bins, DUBLIN, columns, 0, ascii_only)).strip()


@pytest.mark.parametrize(
    ("span", "words"),
    [
        (Span.HOUR, "╵14:40    ╵14:50    ╵15:00    ╵15:10    ╵15:20"),
        (Span.DAY, "╵18:00 ╵21:00  ╵Tue 3 ╵03:00  ╵06:00 ╵09:00  ╵12:00"),
        (Span.WEEK, "╵Wed 25 ╵Thu 26 ╵Fri 27 ╵Sat 28 ╵Sun 1  ╵Mon 2  ╵Tue 3"),
        (Span.MONTH, "╵2 Feb        ╵9 Feb        ╵16 Feb       ╵23 Feb"),
        (Span.SEASON, "╵Dec            ╵2026          ╵Feb"),
        (Span.FIVE_YEARS, "╵2021       ╵2022      ╵2023      ╵2024       ╵2025"),
    ],
)
def test_round_local_times_are_named(span: Span, words: str) -> None:
    assert axis(NOW, span) == words
    assert axis(NOW, span, ascii_only=True) == words.replace("╵", "|")


@pytest.mark.parametrize("span", list(Span))
@pytest.mark.parametrize("columns", [28, 40, 68])
def test_no_axis_is_empty_where_there_is_room_for_two_names(span: Span, columns: int) -> None:
    for day in range(14):
        assert axis(NOW + day * 86400, span, columns).count("╵") >= 1


def test_a_mark_stands_in_the_column_of_its_moment() -> None:
    bins = Bins.before(NOW, Span.DAY.seconds, 120)
    words = text_of(time_axis(bins, DUBLIN, 60, 0))[1:]
    nine = datetime(2026, 3, 3, 9, tzinfo=DUBLIN).timestamp()
    assert words[(bins.index(nine) or 0) // 2 :].startswith("╵09:00")


def test_marks_rest_while_time_goes_on_within_a_bin() -> None:
    assert axis(NOW, Span.DAY) == axis(NOW + 60, Span.DAY)


@pytest.mark.parametrize(
    ("day", "around"),
    [
        (datetime(2026, 3, 29, 6, tzinfo=DUBLIN), ["00:30", "02:00"]),  # skips 01:00
        (datetime(2026, 10, 25, 6, tzinfo=DUBLIN), ["00:30", "01:00"]),  # has 01:00 twice
    ],
)
def test_days_of_23_and_25_hours_have_their_own_times(day: datetime, around: list[str]) -> None:
    bins = Bins.between(day.timestamp() - 7 * 3600, day.timestamp() - 3600, 400)
    words = text_of(time_axis(bins, DUBLIN, 200, 0))
    for time in around:
        assert time in words
    assert ("01:30" in words) == (day.month == 10)


@given(
    st.floats(1e8, 4e9),
    st.sampled_from(Span),
    st.integers(8, 200),
    st.sampled_from(["Europe/Dublin", "Pacific/Chatham", "UTC", "America/St_Johns"]),
)
def test_it_always_has_its_width_and_names_never_touch(
    now: float, span: Span, columns: int, zone: str
) -> None:
    bins = Bins.before(now, span.seconds, 2 * columns)
    line = time_axis(bins, ZoneInfo(zone), columns, 5)
    assert width_of(line) == columns + 6
    assert all(word.count("╵") <= 1 for word in text_of(line).split())
