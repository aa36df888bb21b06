"""Bytes to readings: the three formats, damage, and what people are told."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.core.sensor import Field, LineFormat, PortSettings, Unit
from sensors.decode import LineDecoder
from sensors.decode.lines import CAP, LineBuffer
from sensors.faults import SensorError

WARMTH = Channel("cave", Quantity.TEMPERATURE)
DAMP = Channel("cave", Quantity.HUMIDITY)
FIELDS = {"T": Field(WARMTH, Unit.CELSIUS), "RH": Field(DAMP, Unit.PERCENT)}
BOTH = [Reading(WARMTH, 7.0, 12.3), Reading(DAMP, 7.0, 88.1)]


def decoder(form=LineFormat.AUTO, columns=(), fields=FIELDS):
    settings = PortSettings("probe", "/dev/null", 9600, form, columns, fields, 10.0)
    return LineDecoder(settings)


def read(lines, **settings):
    """What the lines give after the cut first line."""
    made = decoder(**settings)
    return made.feed(f"\n{lines}\n".encode(), 7.0), made


@pytest.mark.parametrize(
    "line",
    [
        "T=12.3 RH=88.1",
        "T=12.3,RH=88.1",
        "T=12.3, RH=88.1",
        "T=12.3;RH=88.1;",
        "t=12.3\trh=88.1\r",
        "T = 12.3, RH = 88.1",
        "T= 12.3 RH= 88.1",
        "T=12,3 RH=88,1",
        "T=12,3;RH=88,1",
        "T=12.3C RH=88.1%",
        "T=+12.30degC,RH=8.81e1%RH",
        "id=x7 T=12.3 RH=88.1 battery=low",
        '{"t": 12.3, "rh": 88.1}',
        '{"T":"12.3","RH":"88,1","name":{"deep":[1]},"ok":true}',
    ],
)
def test_self_naming_lines_are_read_without_being_told_their_format(line):
    assert read(line)[0] == BOTH


@pytest.mark.parametrize(
    "line",
    [
        "12.3,88.1",
        "12.3, 88.1",
        "12.3;88.1",
        "12,3;88,1",
        "12.3\t88.1",
        "12,3\t88,1",
        "12,3 88,1",
        "12.3 C, 88.1 %",
    ],
)
def test_columns_are_read_under_configured_names(line):
    assert read(line, columns=("T", "RH"))[0] == BOTH


@pytest.mark.parametrize("mark", [",", ";", "\t", " "])
def test_a_header_line_names_the_columns(mark):
    lines = "\n".join(mark.join(row) for row in (("n", "t", "rh"), ("4", "12.3", "88.1")))
    readings, made = read(lines)
    assert readings == BOTH
    assert made.rejected == 0


def test_a_header_that_comes_later_replaces_the_columns():
    readings, _ = read("T,RH\n12.3,88.1\nRH,T\n88.1,12.3")
    assert readings == [*BOTH, *reversed(BOTH)]


def test_a_header_counts_also_as_the_first_line_after_opening():
    assert decoder().feed(b"T,RH\n12.3,88.1\n", 7.0) == BOTH


def test_a_header_that_lacks_a_wanted_name_is_none():
    cut = decoder()
    assert cut.feed(b"RH\n88.1\n", 7.0) == []
    assert cut.rejected == 1


@pytest.mark.parametrize("form", [LineFormat.AUTO, LineFormat.COLUMNS])
def test_a_greeting_of_the_board_does_not_replace_the_configured_columns(form):
    readings, made = read("RH sensor ready\n12.3,88.1", form=form, columns=("T", "RH"))
    assert readings == BOTH
    assert made.rejected == 1


def test_columns_without_any_header_ask_for_the_names():
    readings, made = read("12.3,88.1")
    assert readings == []
    assert made.last_rejection == (
        "no header line with the names 'T', 'RH' has come; "
        "restart the board or write the names of the columns in the settings"
    )


def test_the_header_is_remembered_when_the_port_is_opened_anew():
    _, made = read("T,RH\n12.3,88.1")
    made.reset()
    assert made.feed(b"2.3,88.1\n12.3,88.1\n", 7.0) == BOTH


@pytest.mark.parametrize("nothing", ["nan", "NaN", "-nan", "null", "None", ""])
def test_a_sensor_without_a_value_gives_a_failed_reading(nothing):
    expected = [Reading(WARMTH, 7.0, None, SignalStatus.FAILURE), BOTH[1]]
    assert read(f"T={nothing},RH=88.1")[0] == expected
    assert read(f"{nothing},88.1", columns=("T", "RH"))[0] == expected


@pytest.mark.parametrize("nothing", ["null", "NaN", '"nan"', '""', "Infinity"])
def test_a_json_value_that_is_none_gives_a_failed_reading(nothing):
    expected = [Reading(WARMTH, 7.0, None, SignalStatus.FAILURE), BOTH[1]]
    assert read(f'{{"T": {nothing}, "RH": 88.1}}')[0] == expected


def test_units_and_offsets_are_applied():
    fields = {
        "f": Field(WARMTH, Unit.FAHRENHEIT, offset=-0.5),
        "h": Field(DAMP, Unit.FRACTION, offset=1.0),
    }
    readings, _ = read("f=53.6F h=0.875", fields=fields)
    assert [reading.value for reading in readings] == [pytest.approx(11.5), pytest.approx(88.5)]


def test_a_value_that_cannot_be_true_is_a_failure_of_the_sensor():
    readings, _ = read("T=85.0 RH=101.5")
    assert readings == [
        Reading(WARMTH, 7.0, None, SignalStatus.FAILURE),
        Reading(DAMP, 7.0, 100.0, SignalStatus.OUT_OF_SPECIFICATION),
    ]


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("T=12.3.4 RH=88.1", "'t' holds '12.3.4', which is not a number"),
        ("T=0x1F RH=88.1", "'t' holds '0x1F', which is not a number"),
        ("T=1_2 RH=88.1", "'t' holds '1_2', which is not a number"),
        ("T=53.6F RH=88.1", "'t' comes in F but is set up in degC"),
        ("T=12.3 RH=88.1C", "'rh' comes in C but is set up in %"),
        ("T=12,3,RH=88,1", "it is not made of name=value pairs"),
        ("T=12, 5 RH=88.1", "it is not made of name=value pairs"),
        ("T=12.3 88.1=", "it is not made of name=value pairs"),
        ("T=12.3 T=12.4", "'T' stands twice in it"),
        ("uptime=55 ok=1", "it holds 'uptime', 'ok' and none of the names 'T', 'RH'"),
        ('{"T": 12.3, "T": 12.4}', "'T' stands twice in it"),
        ('{"T": 12.3', "it is not a JSON object"),
        ('{"T": true}', "'t' holds something other than a number"),
        ('{"T": [12.3]}', "'t' holds something other than a number"),
        ('{"a":' * 50, "it is not a JSON object"),
        ("T=12.3 RH=8\x008.1", "it holds bytes that are not plain text, as with a wrong baud rate"),
        ("T=12.3°C", "it holds bytes that are not plain text, as with a wrong baud rate"),
        ("T=" + "1" * 300, f"it is longer than {CAP} bytes"),
    ],
)
def test_a_bad_line_is_rejected_whole_with_a_reason(line, reason):
    readings, made = read(line)
    assert readings == []
    assert (made.rejected, made.last_rejection) == (1, reason)


@pytest.mark.parametrize("line", ["12,3,88,1", "12.3", "12.3,88.1,4"])
def test_columns_that_do_not_fit_are_rejected(line):
    readings, made = read(line, columns=("T", "RH"))
    assert readings == []
    assert made.last_rejection == "it does not hold one value for each of the 2 columns"


def test_a_set_format_refuses_the_others():
    readings, made = read("12.3,88.1\nT=12.3", form=LineFormat.JSON)
    assert (readings, made.rejected) == ([], 2)


def test_a_format_told_from_the_lines_is_kept_until_several_lines_in_a_row_fail():
    _, made = read("T=12.3 RH=88.1", columns=("T", "RH"))
    assert made.feed(b"12.3,88.1\n" * 5, 7.0) == []
    assert made.feed(b"12.3,88.1\n", 7.0) == BOTH


def test_a_good_line_between_bad_ones_keeps_the_format():
    _, made = read("T=12.3 RH=88.1", columns=("T", "RH"))
    for _ in range(4):
        assert made.feed(b"12.3,88.1\n" * 4 + b"T=12.3 RH=88.1\n", 7.0) == BOTH


def test_what_comes_before_the_first_line_end_is_never_read():
    made = decoder()
    assert made.feed(b"T=2.3 RH=88.1\nT=12.3 RH=88.1\n", 7.0) == BOTH
    made.reset()
    assert made.feed(b"T=2.3 RH=88.1\r\n", 7.0) == []
    assert made.rejected == 0


def test_a_line_cut_by_a_new_opening_is_not_joined_to_what_follows():
    _, made = read("T=12.3 RH=88.1")
    made.feed(b"T=1", 7.0)
    made.reset()
    assert made.feed(b"2.9 RH=88.1\n", 7.0) == []


def test_a_flood_without_line_ends_is_counted_once_and_forgotten_at_the_next_line_end():
    _, made = read("")
    for _ in range(100):
        assert made.feed(b"T=12.3 " * 100, 7.0) == []
    assert made.rejected == 1
    assert made.feed(b"\nT=12.3 RH=88.1\n", 7.0) == BOTH


def test_names_that_differ_only_in_capitals_are_refused():
    with pytest.raises(SensorError, match="'T', 't' that differ only in capitals"):
        decoder(fields={"T": FIELDS["T"], "t": FIELDS["RH"]})


def test_escape_codes_and_markup_never_reach_a_reason():
    _, made = read("T=12.3 RH=[red]88[/red]")
    assert made.last_rejection == "'rh' holds '(red)88(/red)', which is not a number"
    made.feed(b"\x1b[31mT=12.3\x1b[0m\n", 7.0)
    assert made.last_rejection.isprintable()


FORMS = st.sampled_from(LineFormat)
NOISE = st.binary(max_size=600) | st.lists(
    st.sampled_from(
        [
            *(b"T=12.3", b" ", b",", b"RH=88.1", b"\n", b"\r\n", b"{", b"}", b'"T":1', b"\x00"),
            *(b"nan", b"T,RH\n", b"\x1b[2J", b"[b]", b"1,2", b"\xff", b"x" * 200),
        ]
    ),
    max_size=60,
).map(b"".join)


@given(noise=NOISE, form=FORMS, named=st.booleans())
def test_any_bytes_are_survived_and_a_good_line_after_them_is_read(noise, form, named):
    columns = ("T", "RH") if named or form is LineFormat.COLUMNS else ()
    made = decoder(form, columns)
    made.feed(noise, 1.0)
    assert made.last_rejection.isprintable()
    assert "[" not in made.last_rejection
    made.feed(b"\nT,RH\n" if form is LineFormat.COLUMNS else b"\n", 1.0)
    good = {
        LineFormat.AUTO: b"T=12.3 RH=88.1\n",
        LineFormat.PAIRS: b"T=12.3 RH=88.1\n",
        LineFormat.COLUMNS: b"12.3,88.1\n",
        LineFormat.JSON: b'{"T":12.3,"RH":88.1}\n',
    }[form]
    # A format that the noise imitated may stand until five lines have failed.
    lines = 6 if form is LineFormat.AUTO else 1
    assert made.feed(good * lines, 7.0)[-2:] == BOTH


@given(data=NOISE, cuts=st.lists(st.integers(0, 600), max_size=8), form=FORMS)
def test_the_pieces_in_which_bytes_come_change_nothing(data, cuts, form):
    whole, pieces, single = decoder(form), decoder(form), decoder(form)
    expected = whole.feed(data, 7.0)
    bounds = [0, *sorted(cuts), len(data)]
    got = [r for a, b in pairwise(bounds) for r in pieces.feed(data[a:b], 7.0)]
    got_single = [r for i in range(len(data)) for r in single.feed(data[i : i + 1], 7.0)]
    assert got == got_single == expected
    for other in (pieces, single):
        assert (other.rejected, other.last_rejection) == (whole.rejected, whole.last_rejection)


@given(pieces=st.lists(st.binary(max_size=2 * CAP), max_size=8))
def test_the_buffer_never_holds_more_than_its_cap(pieces):
    buffer = LineBuffer()
    for piece in pieces:
        assert all(len(line.text) <= CAP for line in buffer.feed(piece))
        assert len(buffer) <= CAP
