"""A serial port against a real pseudo-terminal with a child process at its far end."""

import subprocess
import sys
import time
from pathlib import Path

import pytest

from cavewatch.clock import now
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.sensor import Field, LineFormat, PortSettings, Unit
from sensors.port import SerialSource

BOARD = Path(__file__).with_name("pty_board.py")
WARMTH = Channel("cave", Quantity.TEMPERATURE)
DAMP = Channel("cave", Quantity.HUMIDITY)
FIELDS = {"T": Field(WARMTH, Unit.CELSIUS), "RH": Field(DAMP, Unit.PERCENT)}
LINES = {
    LineFormat.PAIRS: b"T=12.34 RH=88.1\r\n",
    LineFormat.COLUMNS: b"T,RH\r\n" + b"12.34,88.1\r\n" * 3,
    LineFormat.JSON: b'{"T": 12.34, "RH": 88.1}\r\n',
}
PAIRS = LINES[LineFormat.PAIRS]
EXPECTED = {(WARMTH, 12.34), (DAMP, 88.1)}


def until(reached, within=60.0):
    """Wait for a condition and give its value; the deadline is only reached by a failure."""
    end = time.monotonic() + within
    while not (value := reached()):
        assert time.monotonic() < end, f"not reached within {within} s"
        time.sleep(0.01)
    return value


def heard(source, count=20):
    """The next so many readings, as channel and value."""
    readings = []
    until(lambda: readings.extend(source.take()) or len(readings) >= count)
    return [(reading.channel, reading.value) for reading in readings]


@pytest.fixture
def link(tmp_path):
    return tmp_path / "ttyBOARD"


@pytest.fixture
def plug_in(link):
    """Start a board; unplug it by killing it."""
    boards = []

    def start(always, flood=0):
        board = subprocess.Popen([sys.executable, BOARD, link, str(flood), always.hex()])
        boards.append(board)
        return board

    yield start
    for board in boards:
        board.kill()
        board.wait()


@pytest.fixture
def listen(link):
    """Start a source on the board's port; it is closed at the end."""
    sources = []

    def start(form=LineFormat.AUTO):
        settings = PortSettings("board", str(link), 9600, form, (), FIELDS, 10.0)
        source = SerialSource(settings, now)
        sources.append(source)
        source.start()
        return source

    yield start
    for source in sources:
        source.close()
        assert source.condition().text == "closed"


def unplug(board, source):
    board.kill()
    board.wait()
    until(lambda: not source.condition().connected)


@pytest.mark.parametrize("form", LINES)
@pytest.mark.parametrize("told", [True, False], ids=["set", "auto"])
def test_each_format_is_read_at_the_pace_of_9600_baud(plug_in, listen, form, told):
    plug_in(LINES[form])
    source = listen(form if told else LineFormat.AUTO)
    began = now()
    assert set(heard(source)) == EXPECTED
    condition = source.condition()
    assert condition.connected
    assert condition.heard_at >= began


def test_a_port_that_is_not_there_is_waited_for(plug_in, listen):
    source = listen()
    until(lambda: source.condition().text.endswith("no such device"))
    assert not source.condition().connected
    plug_in(PAIRS)
    assert set(heard(source)) == EXPECTED
    assert source.condition().text == "connected"


def test_a_board_that_is_unplugged_is_missed_and_found_again_behind_the_same_path(plug_in, listen):
    source = listen()
    board = plug_in(PAIRS)
    assert set(heard(source)) == EXPECTED
    for _ in range(2):
        unplug(board, source)
        source.take()
        assert source.condition().heard_at is not None
        board = plug_in(b"T=13.5 RH=91\r\n")
        assert set(heard(source)) == {(WARMTH, 13.5), (DAMP, 91.0)}
        assert source.condition().connected
    assert source.condition().rejected == 0


def test_a_flood_without_line_ends_is_counted_and_survived(plug_in, listen):
    source = listen()
    plug_in(b"\r\n" + PAIRS, flood=300_000)
    until(lambda: source.condition().rejected)
    assert source.condition().text == (
        "connected; 1 line could not be read, the last because it is longer than 256 bytes"
    )
    assert set(heard(source)) == EXPECTED
    assert source.condition().rejected == 1


def test_garbage_between_lines_is_rejected_and_never_becomes_a_reading(plug_in, listen):
    source = listen()
    plug_in(PAIRS + b"\x00\xff\x1b[31m\r\nT=1\x802.34\r\n")
    assert set(heard(source)) == EXPECTED
    condition = until(lambda: source.condition().rejected >= 2 and source.condition())
    assert "bytes that are not plain text" in condition.text
    assert condition.text.isprintable()


def test_silence_is_told_and_ends_when_another_board_speaks(plug_in, listen):
    source = listen()
    board = plug_in(b"")
    until(lambda: source.condition().connected)
    assert source.condition().text == "connected; no reading has come yet"
    assert (source.take(), source.condition().heard_at) == ([], None)
    unplug(board, source)
    plug_in(PAIRS)
    assert set(heard(source)) == EXPECTED


def test_a_port_is_shared_with_no_one_until_it_is_closed(plug_in, listen):
    plug_in(PAIRS)
    first = listen()
    heard(first)
    second = listen()
    until(lambda: second.condition().text.endswith("another program has it open"))
    assert second.take() == []
    first.close()
    assert set(heard(second)) == EXPECTED
