"""`cavewatch check --listen` as a process of its own, with a board at the far end of a pty."""

import os
import signal
import subprocess
import sys
import termios
import threading
import tty
from contextlib import suppress
from pathlib import Path

import pytest

from cavewatch.config import Config, parse
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.sensor import LineFormat, ModbusSettings, PortSettings, Unit

DAIRY = """\
[dairy]
name = "Test dairy (invented)"
zone = "UTC"
[[place]]
name = "rack"
kind = "rack"
[[place]]
name = "old cave"
kind = "cave"
[[place]]
name = "lower cave"
kind = "cave"
[[sensor]]
name = "new sensor"
port = "/dev/no-such-port"
[sensor.fields]
T = "old cave.temperature"
H = "old cave.humidity"
"""
WARMTH = Channel("lower cave", Quantity.TEMPERATURE)
DAMP = Channel("lower cave", Quantity.HUMIDITY)


class Board:
    """Sends a line again and again; garbage while the port is not set to its speed."""

    def __init__(self, line, baud=None):
        self._line, self._baud = line, baud
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        self.port = os.ttyname(self._slave)
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._send)
        self._thread.start()

    def _send(self):
        while not self._ended.wait(0.02):
            speed = termios.tcgetattr(self._slave)[4]
            right = self._baud is None or speed == self._baud
            with suppress(BlockingIOError):  # nobody reads
                os.write(self._master, self._line if right else b"\xfe\x80\xc3\x00" * 8)

    def unplug(self):
        self._ended.set()
        self._thread.join()
        os.close(self._slave)
        os.close(self._master)


@pytest.fixture
def board():
    made = []

    def start(line, baud=None):
        made.append(Board(line, baud))
        return made[-1].port

    yield start
    for one in made:
        one.unplug()


@pytest.fixture
def config(tmp_path):
    path = tmp_path / "my.toml"
    path.write_text(DAIRY)
    return path


def command(config, port, *more):
    cli = [sys.executable, "-m", "cavewatch", "--config", config]
    return [*cli, "check", "--listen", port, *more]


def listened(config, port, *more):
    done = subprocess.run(
        command(config, port, *more), capture_output=True, text=True, timeout=120, check=False
    )
    assert done.returncode == 0, done.stderr
    assert all(line.isprintable() for line in done.stdout.splitlines())
    return done.stdout


def pasted(said) -> Config:
    """The config with what was proposed behind it."""
    start = min(said.find(head) for head in ("[[sensor]]", "[[modbus]]") if head in said)
    return parse(DAIRY + said[start:], Path("my.toml"))


@pytest.mark.parametrize(
    ("line", "form", "columns", "names"),
    [
        (b"T=12.3 RH=88.1\r\n", LineFormat.PAIRS, (), ("t", "rh")),
        (b'{"t": 12.3, "rh": 88.1, "id": "x"}\n', LineFormat.JSON, (), ("t", "rh")),
        (
            b"Temp,Hum\n" + b"12.3,88.1\n" * 3,
            LineFormat.COLUMNS,
            ("Temp", "Hum"),
            ("temp", "hum"),
        ),
    ],
)
def test_what_is_proposed_can_be_pasted(board, config, line, form, columns, names):
    port = board(line)
    said = listened(config, port, "--baud", "9600")
    assert " = 12.3, " in said
    sensor = pasted(said).sensors[-1]
    assert isinstance(sensor, PortSettings)
    assert (sensor.port, sensor.baud, sensor.format) == (port, 9600, form)
    assert sensor.columns == columns
    assert (sensor.name, sensor.every) == ("new sensor 2", 1.0)
    # The old cave is fed already, and a cave is likelier than the rack.
    assert [(name, field.channel) for name, field in sensor.fields.items()] == [
        (names[0], WARMTH),
        (names[1], DAMP),
    ]


def test_other_units_are_seen_and_a_name_that_says_nothing_is_left_to_the_maker(board, config):
    said = listened(config, board(b"air=54.1F rh=0.88 batt=3.1\n"), "--baud", "9600")
    fields = pasted(said).sensors[-1].fields
    assert {name: field.unit for name, field in fields.items()} == {
        "air": Unit.FAHRENHEIT,
        "rh": Unit.FRACTION,
    }
    assert '#batt = "PLACE.temperature"    # say what it measures, and where' in said


def test_columns_without_titles_get_names_and_are_left_to_the_maker(board, config):
    said = listened(config, board(b"12.3;88.1\n"), "--baud", "9600")
    assert 'columns = ["first", "second"]' in said
    assert '#first = "PLACE.temperature"' in said


def test_the_usual_speeds_are_tried_until_text_comes(board, config):
    said = listened(config, board(b"T=12.3 RH=88.1\n", termios.B19200))
    assert said.count("what comes is no text at this speed") == 3
    assert pasted(said).sensors[-1].baud == 19_200


def test_garbage_is_shown_harmless_and_nothing_is_proposed(board, config):
    said = listened(config, board(b"\x1b[2J\xff\xfe[red]\x07\n"), "--seconds", "30")
    assert "[[sensor]]" not in said
    assert "\x1b" not in said
    assert "none of the lines could be read. Look up in the sensor's manual its speed" in said


def test_a_flood_without_line_ends_ends_in_time(board, config):
    said = listened(config, board(b"x" * 1000), "--seconds", "2")
    assert "cannot be read: it is longer than 256 bytes" in said
    assert said.count("longer than") == 1


def test_a_silent_port_may_be_a_modbus_wire(board, config):
    port = board(b"")
    said = listened(config, port, "--seconds", "1")
    assert said.startswith(f"listening to {port} at 9600 baud")
    assert "a Modbus transmitter on RS-485 says nothing until it is asked" in said
    wire = pasted(said).sensors[-1]
    assert isinstance(wire, ModbusSettings)
    assert {field.channel for field in wire.feeds} == {WARMTH, DAMP}


def test_no_config_is_needed_to_listen(board, tmp_path):
    said = listened(tmp_path / "none.toml", board(b"T=12.3\n"), "--baud", "9600")
    assert '#t = "PLACE.temperature"    # say what it measures, and where' in said


def test_a_port_that_cannot_be_opened_is_told_in_one_sentence(config):
    done = subprocess.run(
        command(config, "/dev/no-such-port"), capture_output=True, text=True, check=False
    )
    assert done.returncode == 1
    assert done.stderr == "Error: /dev/no-such-port: no such device\n"


def test_ctrl_c_ends_it_with_what_was_understood_so_far(board, config):
    port = board(b"booting\n")
    child = subprocess.Popen(command(config, port), stdout=subprocess.PIPE, text=True)
    try:
        for line in child.stdout:
            if "booting" in line:
                break
        child.send_signal(signal.SIGINT)
        rest = child.stdout.read()
        assert child.wait(60) == 0
    finally:
        child.kill()
        child.wait()
        child.stdout.close()
    assert "none of the lines could be read" in rest
