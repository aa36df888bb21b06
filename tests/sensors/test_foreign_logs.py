"""What is guessed of log files of any shape, held against what they were made from."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cavewatch.core.errors import CavewatchError
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.sensor import Field, Unit
from sensors.faults import SensorError
from sensors.foreign import Stated, examine
from sensors.log import LogFile

DUBLIN = "Europe/Dublin"
START = datetime(2026, 10, 24, 21, 30, tzinfo=UTC)
NOTHING = Stated()


@pytest.fixture
def file(tmp_path):
    def make(text, encoding="utf-8"):
        path = tmp_path / "logger.csv"
        path.write_bytes(text.encode(encoding))
        return path

    return make


def rows(n, write, every=300):
    """Lines of `n` rows, each written from its local time and its number."""
    zone = ZoneInfo(DUBLIN)
    moments = (START + timedelta(seconds=every * k) for k in range(n))
    return "".join(write(moment.astimezone(zone), k) + "\n" for k, moment in enumerate(moments))


def times(path, found):
    """Of the rows, as the proposed settings read them."""
    title, unit = next((c.title, c.unit) for c in found.columns if c.unit)
    field = Field(Channel("cave", unit.quantity), unit)
    read = LogFile(path, replace_fields(found, {title: field}))
    at = [reading.at for reading in read.readings()]
    assert (read.faults, read.left_out) == ([], 0)
    return at


def replace_fields(found, fields):
    import dataclasses

    return dataclasses.replace(found.settings, fields=fields)


def expected(n, every=300):
    return [START.timestamp() + every * k for k in range(n)]


def units(found):
    return {column.title: column.unit for column in found.columns}


def test_decimal_commas_and_semicolons(file):
    text = "Datum;Zeit;Temperatur [°C];rel. Feuchte [%]\n" + rows(
        60, lambda t, k: f"{t:%d.%m.%Y};{t:%H:%M:%S};{12 + k % 3},4;88,{k % 10}"
    )
    path = file(text, "cp1252")
    found = examine(path, NOTHING, DUBLIN)
    assert (found.settings.delimiter, found.settings.header_line) == (";", 1)
    assert found.settings.time_columns == ("Datum", "Zeit")
    assert found.settings.time_format == "%d.%m.%Y %H:%M:%S"
    assert units(found) == {"Temperatur [°C]": Unit.CELSIUS, "rel. Feuchte [%]": Unit.PERCENT}
    assert found.columns[0].example == "12,4"
    assert times(path, found) == expected(60)


def test_a_header_below_other_lines_with_fahrenheit_quotes_and_a_zone_in_the_title(file):
    text = '"Plot Title: cave 2"\n"#","Date Time, GMT-05:00","Temp, °F","RH, %","Host Connected"\n'
    zone = ZoneInfo("Etc/GMT+5")
    text += "".join(
        f"{k + 1},{(START + timedelta(minutes=5 * k)).astimezone(zone):%m/%d/%y %I:%M:%S %p},"
        f"{53 + k % 2}.{k % 10},88.1,\n"
        for k in range(80)
    )
    path = file(text, "utf-8-sig")
    found = examine(path, NOTHING, DUBLIN)
    assert (found.settings.header_line, found.settings.delimiter) == (2, ",")
    assert (found.settings.zone, found.zone_told) == ("Etc/GMT+5", True)
    assert found.settings.time_format == "%m/%d/%y %I:%M:%S %p"
    assert units(found) == {"#": None, "Temp, °F": Unit.FAHRENHEIT, "RH, %": Unit.PERCENT}
    assert times(path, found) == expected(80)


@pytest.mark.parametrize(("scale", "form"), [(1, ""), (1000, "ms")])
def test_seconds_and_milliseconds_since_1970(file, scale, form):
    text = "id\ttimestamp\ttemp\thum\tbatt\n" + "".join(
        f"{k}\t{int(at) * scale}\t12.{k % 10}\t0.8{k % 10}\t3.1\n"
        for k, at in enumerate(expected(9))
    )
    path = file(text)
    found = examine(path, NOTHING, "UTC")
    assert (found.settings.delimiter, found.settings.time_format) == ("\t", form)
    assert found.settings.time_columns == ("timestamp",)
    assert units(found) == {
        "id": None,
        "temp": Unit.CELSIUS,
        "hum": Unit.FRACTION,
        "batt": None,
    }
    assert times(path, found) == expected(9)


def test_local_times_over_the_end_of_summer_time_with_gaps_in_utf_16(file):
    text = "Time,T,RH\n" + rows(
        70,
        lambda t, k: (
            f"{t:%Y-%m-%d %H:%M},{'' if k % 7 == 0 else 12.5},{'---' if k % 5 == 0 else 88}"
        ),
    )
    path = file(text, "utf-16")
    found = examine(path, NOTHING, DUBLIN)
    assert (found.settings.time_format, found.settings.zone) == ("", DUBLIN)
    filled = [at for k, at in enumerate(expected(70)) if k % 7]
    assert times(path, found) == filled
    assert sum(at > START.timestamp() + 9000 for at in filled) > 0


def test_the_newest_row_may_come_first(file):
    lines = rows(50, lambda t, k: f"{t:%d/%m/%Y %H:%M},12.{k % 10}").splitlines()
    path = file("Date/Time,Temp C\n" + "\n".join(reversed(lines)) + "\n")
    found = examine(path, NOTHING, DUBLIN)
    assert found.settings.newest_first
    assert times(path, found) == expected(50)


@pytest.mark.parametrize("form", ["%d/%m/%Y %H:%M", "%m/%d/%Y %H:%M"])
def test_the_order_of_day_and_month_is_told_by_what_keeps_the_rows_together(file, form):
    begin = datetime(2026, 3, 1, tzinfo=UTC)
    text = "t,temp\n" + "".join(f"{begin + timedelta(hours=6 * k):{form}},12\n" for k in range(30))
    found = examine(file(text), NOTHING, "UTC", month_first=form.startswith("%d"))
    assert (found.settings.time_format, found.other_format) == (form, "")


@pytest.mark.parametrize(("month_first", "form"), [(False, "%d/%m/%Y"), (True, "%m/%d/%Y")])
def test_what_nothing_tells_is_said_to_be_open(file, month_first, form):
    text = "t,temp\n03/04/2026 10:00,12\n03/04/2026 10:05,12\n03/04/2026 10:10,12\n"
    found = examine(file(text), NOTHING, "UTC", month_first=month_first)
    assert found.settings.time_format == f"{form} %H:%M"
    assert {found.settings.time_format, found.other_format} == {
        "%d/%m/%Y %H:%M",
        "%m/%d/%Y %H:%M",
    }


def test_the_middle_and_the_end_of_a_long_file_are_looked_at_too(file):
    """The first rows are all of the third of April, or of the fourth of March."""
    begin = datetime(2026, 4, 3, tzinfo=UTC)
    text = "t,temp\n" + "".join(
        f"{begin + timedelta(seconds=10 * k):%d/%m/%Y %H:%M:%S},12.{k % 10}\n"
        for k in range(20_000)
    )
    found = examine(file(text), NOTHING, "UTC", month_first=True)
    assert (found.settings.time_format, found.other_format) == ("%d/%m/%Y %H:%M:%S", "")


def test_a_row_of_units_below_the_titles_is_no_row_of_titles(file):
    text = "Time;T1;H1\n;°C;%\n" + rows(9, lambda t, k: f"{t:%d.%m.%Y %H:%M};12,{k};88")
    found = examine(file(text), NOTHING, DUBLIN)
    assert found.settings.header_line == 1
    assert units(found) == {"T1": Unit.CELSIUS, "H1": Unit.PERCENT}


def test_dew_points_and_set_points_are_not_the_air(file):
    text = "time,Temp (°C),Dew point (°C),Setpoint (°C)\n" + rows(
        9, lambda t, k: f"{t:%Y-%m-%dT%H:%M},12.{k},9.1,13"
    )
    found = examine(file(text), NOTHING, DUBLIN)
    assert units(found) == {
        "Temp (°C)": Unit.CELSIUS,
        "Dew point (°C)": None,
        "Setpoint (°C)": None,
    }


def test_what_is_stated_is_not_guessed(file):
    text = "x\nWhen|Other|T\n" + rows(9, lambda t, k: f"{t:%Y%m%d-%H%M}|{t:%d/%m/%Y %H:%M}|1{k}")
    stated = Stated("|", 2, ("When",), "%Y%m%d-%H%M", "UTC")
    found = examine(file(text), stated, DUBLIN)
    assert found.settings.time_columns == ("When",)
    assert (found.settings.time_format, found.settings.zone) == ("%Y%m%d-%H%M", "UTC")


@pytest.mark.parametrize(
    ("text", "stated", "said"),
    [
        ("\n\n", NOTHING, "logger.csv is empty"),
        ("words\nand more\n", NOTHING, "logger.csv: no row holds a time and a number; say"),
        ("2026-03-01 10:00,12\n2026-03-01 10:01,13\n", NOTHING, "there is no line of titles"),
        ("a,b\nx,12\n", Stated(",", 1), "no column holds times; name those that do"),
        ("a,b\n2026-03-01 10:00,12\n", Stated(time_columns=("c",)), "there is no column 'c'"),
        ("a,b\n1/1/2026 10:00,12\n", Stated(time_format="%d"), "are in no form that is known"),
        ("a,b\n", Stated(",", 7), "line 7 holds no titles"),
    ],
)
def test_what_makes_no_sense_is_told_in_a_sentence_with_what_to_say(file, text, stated, said):
    with pytest.raises(SensorError) as caught:
        examine(file(text), stated, "UTC")
    assert said in str(caught.value)
    assert str(caught.value).startswith("logger.csv")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(
    st.binary(max_size=400)
    | st.lists(
        st.sampled_from(
            [
                b"time",
                b",",
                b";",
                b"\n",
                b"1/2/26",
                b" ",
                b"10:00",
                b"12,5",
                b"\xff",
                b"\x1b[31m",
                b'"',
            ]
        ),
        max_size=60,
    ).map(b"".join)
)
def test_hostile_bytes_give_a_proposal_or_one_sentence(tmp_path, raw):
    path = tmp_path / "logger.csv"
    path.write_bytes(raw)
    try:
        found = examine(path, NOTHING, "UTC")
    except CavewatchError as fault:
        said = str(fault)
    else:
        said = f"{len(found.settings.time_columns)} columns"
    assert said.isprintable()


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    delimiter=st.sampled_from([";", "\t", ",", "|"]),
    form=st.sampled_from(
        ["%Y-%m-%d %H:%M:%S", "%d.%m.%Y %H:%M:%S", "%m/%d/%Y %I:%M:%S %p", "%d-%b-%Y %H:%M:%S"]
    ),
    values=st.lists(st.integers(-500, 4500), min_size=30, max_size=60),
    above=st.integers(0, 4),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
    every=st.integers(20_000, 90_000),
)
def test_a_file_of_any_shape_is_read_back(
    tmp_path, delimiter, form, values, above, encoding, every
):
    comma = delimiter != ","
    begin = datetime(2026, 1, 2, tzinfo=UTC)
    lines = [f"Serial {n}" for n in range(above)]
    lines.append(delimiter.join(["When", "Temp (°C)"]))
    for k, value in enumerate(values):
        number = f"{value / 100:.2f}"
        shown = number.replace(".", ",") if comma else number
        lines.append(f"{begin + timedelta(seconds=every * k):{form}}{delimiter}{shown}")
    path = tmp_path / "logger.csv"
    path.write_bytes(("\r\n".join(lines) + "\r\n").encode(encoding))
    found = examine(path, NOTHING, "UTC")
    field = Field(Channel("cave", Quantity.TEMPERATURE), Unit.CELSIUS)
    read = LogFile(path, replace_fields(found, {"Temp (°C)": field}))
    assert [(r.at, r.value) for r in read.readings()] == [
        (begin.timestamp() + every * k, pytest.approx(value / 100))
        for k, value in enumerate(values)
    ]
