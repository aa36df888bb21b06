"""What is guessed of lines of which nothing is known."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.sensor import LineFormat, Unit
from sensors.decode.guess import titles, understood, unit
from sensors.faults import SensorError


@pytest.mark.parametrize(
    ("line", "form", "values"),
    [
        ("T=12.3 H=88.1", LineFormat.PAIRS, {"t": (12.3, None), "h": (88.1, None)}),
        ("T=54.1F,RH=nan", LineFormat.PAIRS, {"t": (54.1, "F"), "rh": (None, None)}),
        ('{"t": 12.3, "id": "a7"}', LineFormat.JSON, {"t": (12.3, None)}),
        ("12.3,88.1", LineFormat.COLUMNS, {"first": (12.3, None), "second": (88.1, None)}),
        ("12,3;88,1", LineFormat.COLUMNS, {"first": (12.3, None), "second": (88.1, None)}),
        ("12.3", LineFormat.COLUMNS, {"first": (12.3, None)}),
    ],
)
def test_a_line_is_told_by_its_marks(line, form, values):
    found = understood(line)
    assert (found.format, found.values) == (form, values)


def test_columns_have_the_names_of_the_titles_that_came():
    assert titles("Temp,Hum") == ("Temp", "Hum")
    assert understood("12.3,88", ("Temp", "Hum")).values == {
        "temp": (12.3, None),
        "hum": (88.0, None),
    }


@pytest.mark.parametrize("line", ["12.3,88.1", "T=1 H=2", "{}", "ready", "a,a", "", "1,T"])
def test_what_is_no_line_of_titles_is_not_taken_for_one(line):
    assert titles(line) == ()


@pytest.mark.parametrize("line", ["booting v1.2", "ready", "nan,nan", "{", "T=x", "", "1," * 20])
def test_a_line_without_sense_is_refused(line):
    with pytest.raises(SensorError):
        understood(line)


@pytest.mark.parametrize(
    ("name", "value", "sent", "expected"),
    [
        ("t", 12.3, None, Unit.CELSIUS),
        ("Temp (C)", 12.3, None, Unit.CELSIUS),
        ("air_temp", 54.0, None, Unit.FAHRENHEIT),
        ("x", 12.3, "degF", Unit.FAHRENHEIT),
        ("rh", 0.88, None, Unit.FRACTION),
        ("RH %", 88.0, None, Unit.PERCENT),
        ("Temp(F)", 40.0, None, Unit.FAHRENHEIT),
        ("Temperatur °C", 50.0, None, Unit.CELSIUS),
        ("rel. Feuchte", 88.0, None, Unit.PERCENT),
        ("umidità", 88.0, None, Unit.PERCENT),
        ("x", 12.3, "°F", Unit.FAHRENHEIT),
        ("battery", 3.1, None, None),
        ("first", 12.3, None, None),
    ],
)
def test_a_unit_is_told_by_what_was_sent_by_the_name_and_by_the_size(name, value, sent, expected):
    assert unit(name, value, sent) is expected


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126), max_size=60))
def test_any_line_is_understood_or_refused(line):
    with suppress(SensorError):
        found = understood(line, titles(line))
        assert any(value is not None for value, _ in found.values.values())
