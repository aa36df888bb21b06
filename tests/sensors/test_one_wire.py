"""One-wire probes: the kernel's text, from files that the test writes."""

import os
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.clock import now
from cavewatch.core.reading import Channel, Quantity, SignalStatus
from cavewatch.core.sensor import Field, OneWireSettings, Unit
from sensors.decode.one_wire import one_wire
from sensors.faults import SensorError
from sensors.one_wire import Probe, probe_files
from sensors.polled import PolledSource

TUB = Channel("tub", Quantity.TEMPERATURE)
FIELD = Field(TUB, Unit.CELSIUS, 0.25)


def text(thousandths, verdict="YES", sent="b8 00 4b 46 7f ff 0c 10 1e", kept=None):
    check = sent[-2:] if verdict == "YES" else "00"
    return f"{sent} : crc={check} {verdict}\n{kept or sent} t={thousandths}\n".encode()


WELL = text(11500)


@pytest.mark.parametrize(("thousandths", "expected"), [(11500, 11.75), (-62, 0.188), (0, 0.25)])
def test_a_good_answer_is_a_temperature_corrected_by_its_offset(thousandths, expected):
    reading = one_wire(FIELD, text(thousandths), 7.0)
    assert (reading.channel, reading.at) == (TUB, 7.0)
    assert reading.value == pytest.approx(expected)


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (text(11500, "NO"), "check sum"),
        (text(11500, "NO", sent="ff " * 8 + "ff", kept="b8 00 4b 46 7f ff 0c 10 1e"), "check sum"),
        (text(11500, kept="c0 00 4b 46 7f ff 0c 10 22"), "check sum"),
        (text(85000, sent="50 05 4b 46 7f ff 0c 10 1c"), "has just got power"),
        (text(0, sent="00 " * 8 + "00"), "nothing but zeros"),
        (b"", "two lines"),
        (WELL[:-3], "two lines"),
        (WELL.replace(b"YES", b"yes"), "two lines"),
        (WELL + WELL, "two lines"),
        (WELL.replace(b"11500", b"1150000000"), "two lines"),
        (WELL.replace(b"11500", b"\xd9\xa1"), "two lines"),
    ],
)
def test_an_old_or_damaged_value_is_never_a_reading(found, words):
    with pytest.raises(SensorError, match=words) as caught:
        one_wire(FIELD, found, 7.0)
    assert str(caught.value).isprintable()


def test_a_power_on_value_is_refused_whatever_the_offset_makes_of_it():
    with pytest.raises(SensorError):
        one_wire(Field(TUB, Unit.CELSIUS, -10.0), text(85000), 7.0)


@given(st.binary(max_size=200))
def test_no_bytes_make_it_fail_otherwise_than_in_words(garbage):
    with pytest.raises(SensorError):
        one_wire(FIELD, garbage, 7.0)


def test_what_is_impossible_is_a_failed_sensor():
    reading = one_wire(FIELD, text(127937), 7.0)
    assert (reading.value, reading.status) == (None, SignalStatus.FAILURE)


def until(reached):
    end = time.monotonic() + 60.0
    while not (value := reached()):
        assert time.monotonic() < end
        time.sleep(0.01)
    return value


@pytest.fixture
def probe(tmp_path):
    file = tmp_path / "28-0000" / "w1_slave"
    file.parent.mkdir()

    def write(content):
        made = file.with_name("made")
        made.write_bytes(content)
        made.replace(file)

    settings = OneWireSettings("dip", str(file), FIELD, 0.02)
    source = PolledSource("dip", settings.every, Probe(settings), now)
    yield source, file, write
    source.close()
    assert source.condition().text == "closed"


def test_a_probe_is_waited_for_missed_and_found_again(probe):
    source, file, write = probe
    source.start()
    until(lambda: "no such probe" in source.condition().text)
    assert source.take() == []
    for thousandths in (11500, 12500):
        write(text(thousandths))
        readings = until(source.take)
        assert {reading.value for reading in readings} == {thousandths / 1000 + 0.25}
        condition = until(lambda: source.condition().connected and source.condition())
        assert (condition.text, condition.heard_at is not None) == ("connected", True)
        file.unlink()
        until(lambda: not source.condition().connected)
        source.take()


def test_a_retained_value_after_a_bad_check_is_told_and_not_taken(probe):
    source, _, write = probe
    write(WELL)
    source.start()
    until(source.take)
    write(text(11500, "NO"))
    until(lambda: not source.condition().connected)
    source.take()
    rejected = source.condition().rejected
    until(lambda: source.condition().rejected >= rejected + 5)
    assert source.take() == []
    assert source.condition().text.startswith("no fresh reading: the check sum is wrong")


def test_files_are_not_left_open(probe):
    source, _, write = probe
    before = len(os.listdir("/proc/self/fd"))
    write(text(11500, "NO"))
    source.start()
    until(lambda: source.condition().rejected >= 50)
    source.close()
    assert len(os.listdir("/proc/self/fd")) <= before


def test_probes_that_are_plugged_in_are_listed(tmp_path):
    for name in ("28-b", "10-a", "w1_bus_master1"):
        (tmp_path / name).mkdir()
    for name in ("28-b", "10-a"):
        (tmp_path / name / "w1_slave").touch()
    assert probe_files(tmp_path) == [str(tmp_path / n / "w1_slave") for n in ("10-a", "28-b")]
    assert probe_files(tmp_path / "none") == []
