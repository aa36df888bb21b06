"""Log files to readings: titles, times, damage."""

from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cavewatch.clock import TimeError
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.core.sensor import Field, LogSettings, Unit
from sensors.faults import SensorError
from sensors.log import LogFile

WARMTH = Channel("lower cave", Quantity.TEMPERATURE)
DAMP = Channel("lower cave", Quantity.HUMIDITY)
TITLES = "time,lower cave.temperature,lower cave.humidity"
MAPPED = {"warm": Field(WARMTH, Unit.CELSIUS), "damp": Field(DAMP, Unit.PERCENT)}
BY_TITLE = LogSettings({})


def utc(*parts):
    return datetime(*parts, tzinfo=UTC).timestamp()


START = utc(2026, 3, 1, 10)


@pytest.fixture
def log(tmp_path):
    def make(text, set_up=BY_TITLE):
        path = tmp_path / "cave.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return LogFile(path, set_up)

    return make


def times(made):
    return [reading.at for reading in made.readings()]


def test_titles_that_are_channel_names_need_no_settings(log):
    made = log(f"{TITLES}\n2026-03-01T10:00:00Z,12.3,88.1\n2026-03-01T10:01:00Z,12.4,88.0\n")
    assert list(made.readings()) == [
        Reading(WARMTH, START, 12.3),
        Reading(DAMP, START, 88.1),
        Reading(WARMTH, START + 60, 12.4),
        Reading(DAMP, START + 60, 88.0),
    ]
    assert made.channels == (WARMTH, DAMP)
    assert made.span() == (START, START + 60)
    assert (made.faults, made.refused) == ([], 0)


@pytest.mark.parametrize("unit", ["[degF]", "(degF)"])
def test_a_title_may_give_the_unit(log, unit):
    made = log(f"time,lower cave.temperature {unit}\n2026-03-01T10:00Z,53.6\n")
    assert [r.value for r in made.readings()] == [pytest.approx(12.0)]


def test_configured_columns_are_found_whatever_their_order_and_capitals(log):
    made = log("Damp,x,TIME,Warm\n88.1,9,2026-03-01 10:00,12.3\n", LogSettings(MAPPED))
    assert list(made.readings()) == [Reading(WARMTH, START, 12.3), Reading(DAMP, START, 88.1)]


def test_a_byte_order_mark_and_windows_line_ends_are_passed_over(log):
    made = log(b"\xef\xbb\xbf" + f"{TITLES}\r\n2026-03-01T10:00Z,12.3,88.1\r\n".encode())
    assert len(list(made.readings())) == 2
    assert made.faults == []


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-8-sig", "cp1252"])
def test_a_log_is_read_in_the_encoding_that_its_beginning_tells(log, encoding):
    set_up = LogSettings({"Wärme (°C)": Field(WARMTH, Unit.CELSIUS)})
    made = log("time,Wärme (°C)\n2026-03-01T10:00Z,12.3\n".encode(encoding), set_up)
    assert [r.value for r in made.readings()] == [12.3]
    assert made.faults == []


def test_a_log_may_run_from_the_newest_row_to_the_oldest(log):
    set_up = LogSettings({}, zone="Europe/Dublin", newest_first=True)
    clocks = ["02:00", "01:30", "01:00", "bad", "01:30", "01:00", "00:30"]
    made = log(TITLES + "".join(f"\n2026-10-25 {shown},12.3," for shown in clocks), set_up)
    begun = utc(2026, 10, 24, 23, 30)
    assert times(made) == [begun + 1800 * n for n in range(6)]
    assert [fault.split(":")[0] for fault in made.faults] == ["cave.csv, line 5"]


def test_milliseconds_since_1970_are_a_time_format(log):
    made = log(f"{TITLES}\n1772359200500,12.3,\nbad,1,\n", LogSettings({}, time_format="ms"))
    assert times(made) == [START + 0.5]
    assert "write it in milliseconds since 1970" in made.faults[0]


def test_rows_later_than_wanted_are_refused_and_the_rest_counted(log):
    made = log(
        f"{TITLES}\n2026-03-01 10:00,1,\n2026-03-01 10:01,2,\n"
        "2026-03-01 09:00,3,\n2026-03-01 09:01,3,\n"
    )
    assert [r.value for r in made.readings(latest=START)] == [1.0]
    assert "is still to come" in made.faults[0]
    assert (made.refused, made.left_out) == (2, 1)


def test_titles_may_stand_below_other_lines_and_fields_may_be_quoted(log):
    set_up = LogSettings(MAPPED, header_line=3, delimiter=";")
    text = 'logger 5\n\n"time";"warm";"damp"\n"2026-03-01 10:00";"12,3";88,1\n'
    assert [r.value for r in log(text, set_up).readings()] == [12.3, 88.1]


def test_the_time_may_be_spread_over_columns_in_any_form(log):
    set_up = LogSettings(
        MAPPED, time_columns=("day", "hour"), time_format="%d.%m.%Y %H.%M", zone="Etc/GMT+5"
    )
    made = log("warm,hour,day\n12.3,05.00,01.03.2026\n", set_up)
    assert list(made.readings()) == [Reading(WARMTH, START, 12.3)]
    assert made.faults == ["cave.csv, line 1: there is no column 'damp'"]


@pytest.mark.parametrize(
    ("text", "zone", "expected"),
    [
        ("2026-03-01 10:00", "UTC", START),
        ("2026-03-01T12:00+02:00", "UTC", START),
        ("1772359200", "UTC", START),
        ("1772359200.5", "UTC", START + 0.5),
        ("2026-03-01 11:00", "Europe/Paris", START),
        ("2026-02-28 24:00", "UTC", utc(2026, 3, 1)),
        ("2026-12-31T24:00:00", "UTC", utc(2027, 1, 1)),
        ("2026-02-28T24:00:00+00:00", "UTC", utc(2026, 3, 1)),
        ("2026-03-01 10:24:00", "UTC", START + 24 * 60),
    ],
)
def test_times_are_read(log, text, zone, expected):
    made = log(f"{TITLES}\n{text},12.3,88.1\n", LogSettings({}, zone=zone))
    assert made.faults == []
    assert times(made) == [expected, expected]


@pytest.mark.parametrize(
    "text",
    [
        *("", "noon", "2026-13-01 10:00", "2026-03-01 25:00", "2026-03-01 24:30", "-5"),
        *("1772359200000", "1e9", "0001-01-01", "9999-12-31 24:00", "2026-02-30 10:00"),
    ],
)
def test_what_is_not_a_time_is_named(log, text):
    made = log(f"{TITLES}\n{text},12.3,88.1\n2026-03-01 10:00,12.3,88.1\n")
    assert times(made) == [START, START]
    assert made.faults == [
        f"cave.csv, line 2: '{text}' is not a time from 1970 to 2199; "
        "write it in ISO 8601 or change the log's time format"
    ]


def test_months_of_different_years_are_put_into_one_year(log):
    made = log(
        f"{TITLES}\n1999-01-31 24:00,1,\n1984-02-28 24:00,2,\n1984-02-29 01:00,3,\n"
        "1984-12-31 24:00,4,\n",
        LogSettings({}, year=2025),
    )
    assert times(made) == [utc(2025, 2, 1), utc(2025, 3, 1), utc(2026, 1, 1)]
    assert made.faults == ["cave.csv, line 4: 2025 has no 29 February"]


def test_seconds_since_1970_are_put_into_a_year_too(log):
    made = log(f"{TITLES}\n1772359200,12.3,\n", LogSettings({}, year=2024))
    assert times(made) == [utc(2024, 3, 1, 10)]


def test_an_empty_cell_is_no_reading_and_nan_is_a_sensor_without_a_value(log):
    made = log(f"{TITLES}\n2026-03-01 10:00,,nan\n,,\n\n")
    assert list(made.readings()) == [Reading(DAMP, START, None, SignalStatus.FAILURE)]
    assert made.faults == []


def test_a_bad_value_is_named_and_the_rest_of_its_row_is_read(log):
    made = log(f"{TITLES}\n2026-03-01 10:00,12.x,88.1\n")
    assert list(made.readings()) == [Reading(DAMP, START, 88.1)]
    assert made.faults == [
        "cave.csv, line 2: 'lower cave.temperature' holds '12.x', which is not a number"
    ]


def test_a_row_of_another_width_is_named_and_left_out(log):
    made = log(f"{TITLES}\n2026-03-01 10:00,12.3\n2026-03-01 10:00,1,2,,\n2026-03-01 10:00,1,2,3\n")
    assert [r.value for r in made.readings()] == [1.0, 2.0]
    assert made.faults == [
        "cave.csv, line 2: it has 2 cells where the titles are 3",
        "cave.csv, line 4: it has 4 cells where the titles are 3",
    ]


def test_rows_that_go_back_in_time_are_left_out_and_named_once(log):
    hours = [10, 11, 9, 8, 11, 12, 10, 13]
    made = log(TITLES + "".join(f"\n2026-03-01 {hour:02}:00,12.3," for hour in hours))
    assert times(made) == [START + 3600 * hours for hours in (0, 1, 1, 2, 3)]
    assert made.faults == [
        f"cave.csv, line {line}: the time goes back to '2026-03-01 {hour}:00'; "
        "rows are left out until it passes the row before"
        for line, hour in ((4, "09"), (8, "10"))
    ]


def test_the_hour_that_the_end_of_summer_time_repeats_is_read_as_two(log):
    clocks = ["00:30", "01:00", "01:30", "01:00", "01:30", "02:00", "01:30"]
    made = log(
        TITLES + "".join(f"\n2026-10-25 {shown},12.3," for shown in clocks),
        LogSettings({}, zone="Europe/Dublin"),
    )
    begun = utc(2026, 10, 24, 23, 30)
    assert times(made) == [begun + 1800 * n for n in range(6)]
    assert made.faults == [
        "cave.csv, line 8: the time goes back to '2026-10-25 01:30'; "
        "rows are left out until it passes the row before"
    ]
    assert made.span() == (begun, begun + 9000)


def test_reading_again_gives_the_same_and_names_nothing_twice(log):
    made = log(f"{TITLES}\nbad,1,2\n2026-03-01 10:00,12.x,88.1\n")
    made.span()
    first = list(made.readings())
    assert list(made.readings()) == first
    assert (len(made.faults), made.refused) == (2, 2)


def test_the_list_of_faults_is_bounded_and_the_count_is_not(log):
    made = log(f"{TITLES}\n" + "bad,1,2\n" * 1000)
    assert list(made.readings()) == []
    assert len(made.faults) == 50
    assert made.refused == 1000


def test_a_log_without_rows_has_no_span(log):
    with pytest.raises(SensorError, match=r"cave.csv has no row with a time below its title line"):
        log(f"{TITLES}\n").span()


@pytest.mark.parametrize(
    ("text", "set_up", "words"),
    [
        ("", BY_TITLE, "cave.csv, line 1: there is no column 'time' for the time among ''"),
        ("12.3,88.1\n", BY_TITLE, "there is no column 'time' for the time among '12.3', '88.1'"),
        ("time;a.temperature\n", BY_TITLE, "among 'time;a.temperature'; write a title line such"),
        ("time,warm\n", BY_TITLE, "line 1: none of the columns 'time', 'warm' can be read"),
        ("time,x\n", LogSettings(MAPPED), "none of the columns 'time', 'x' can be read"),
        (f"{TITLES}\n", LogSettings({}, header_line=9), "cave.csv, line 9: there is no column"),
        ("time,warm,WARM\n", LogSettings(MAPPED), "the title 'WARM' stands twice"),
        (b"\x00\x01\x02\x03", BY_TITLE, "there is no column 'time'"),
    ],
)
def test_a_file_that_cannot_be_used_says_what_was_found_and_what_to_write(log, text, set_up, words):
    with pytest.raises(SensorError) as caught:
        log(text, set_up)
    assert words in str(caught.value)
    assert str(caught.value).isprintable()


@pytest.mark.parametrize(
    ("title", "reason"),
    [
        ("lower cave.warmth", "'lower cave.warmth' names no channel; write"),
        ("lower cave.temperature [K]", "its unit is none of 'degC', 'degF'"),
        ("lower cave.humidity [degC]", "its unit is none of '%', '1'"),
        ("[red]cave.temperature", "it names no channel"),
        ("\x1b[31mcave.temperature", "it names no channel"),
    ],
)
def test_a_title_that_names_no_channel_is_left_out_and_named(log, title, reason):
    made = log(f"{TITLES},{title}\n2026-03-01 10:00,12.3,88.1,5\n")
    assert len(list(made.readings())) == 2
    assert made.faults[0].startswith("cave.csv, line 1: the column '")
    assert reason in made.faults[0]
    assert made.faults[0].isprintable()


def test_a_file_that_is_not_there_and_an_unknown_zone_are_named(tmp_path, log):
    with pytest.raises(SensorError, match=r"gone\.csv cannot be read: No such file"):
        LogFile(tmp_path / "gone.csv", BY_TITLE)
    with pytest.raises(TimeError, match="'Mars' is not a known time zone"):
        log(TITLES, LogSettings({}, zone="Mars"))


def test_a_stray_quote_damages_no_other_line(log):
    made = log(f'{TITLES}\n2026-03-01 10:00,"12.3,88.1\n2026-03-01 10:00,12.3,88.1\n')
    assert [r.value for r in made.readings()] == [12.3, 88.1]
    assert made.faults == ["cave.csv, line 2: it has 2 cells where the titles are 3"]


def test_an_endless_line_is_passed_over_and_the_next_one_keeps_its_number(log):
    made = log(f"{TITLES}\n{'x' * 300_000}\nbad,1,2\n2026-03-01 10:00,12.3,88.1\n")
    assert [r.value for r in made.readings()] == [12.3, 88.1]
    assert [fault.split(":")[0] for fault in made.faults] == [
        "cave.csv, line 2",
        "cave.csv, line 3",
    ]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    garbage=st.binary(max_size=300)
    | st.lists(
        st.sampled_from([b'"', b",", b"2026-03-01 10:00", b"\r", b"\x00", b"nan", b"\n", b"24:00"]),
        max_size=40,
    ).map(b"".join)
)
def test_hostile_bytes_are_survived_and_a_good_row_after_them_is_read(log, garbage):
    good = b"\n2199-12-31 23:59,12.3,88.1\n"
    made = log(TITLES.encode() + b"\n" + garbage + good)
    readings = list(made.readings())
    assert [r.value for r in readings[-2:]] == [12.3, 88.1]
    assert [r.at for r in readings] == sorted(r.at for r in readings)
    assert all(fault.isprintable() and "[" not in fault for fault in made.faults)
