"""Modbus RTU against slaves of the test's own at the far end of a real pseudo-terminal."""

import os
import select
import threading
import time
import tty

import pytest

from cavewatch.clock import now
from cavewatch.config.registers import READY
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.sensor import (
    Field,
    ModbusSettings,
    Parity,
    Register,
    RegisterKind,
    RegisterType,
    SlaveSettings,
    Unit,
)
from sensors.modbus import Wire
from sensors.polled import PolledSource

TIMEOUT = 0.2
WARMTH = Channel("cave", Quantity.TEMPERATURE)
DAMP = Channel("cave", Quantity.HUMIDITY)
OTHER = Channel("other", Quantity.TEMPERATURE)
TENTHS = SlaveSettings(
    1,
    READY["tenths"],
    {"temperature": Field(WARMTH, Unit.CELSIUS), "humidity": Field(DAMP, Unit.PERCENT, -1.5)},
)
SECOND = SlaveSettings(
    2,
    {"T": Register(0, RegisterKind.HOLDING, RegisterType.INT16, 0.01)},
    {"T": Field(OTHER, Unit.CELSIUS)},
)
BOTH = {(1, 4): {1: 123, 2: 896}, (2, 3): {0: 0x10000 - 250}}


def crc(frame):
    """CRC-16 of Modbus, worked bit by bit, as it is sent: the low byte first."""
    register = 0xFFFF
    for byte in frame:
        register ^= byte
        for _ in range(8):
            register = register >> 1 ^ (0xA001 if register & 1 else 0)
    return register.to_bytes(2, "little")


@pytest.mark.parametrize(
    ("frame", "expected"),
    [
        # MODBUS over serial line specification and implementation guide V1.02, p. 41: CRC 1241 hex
        # for the frame 02 07 (as the tests of a public CRC library quote it).
        ("0207", "4112"),
        # The usual check value of this CRC (worked out from the polynomial too): 4B37 hex.
        (b"123456789".hex(), "374b"),
        # Worked out from the polynomial, not published: the request for the common map.
        ("010400010002", "200b"),
    ],
)
def test_the_slaves_of_this_test_use_the_published_check_sum(frame, expected):
    assert crc(bytes.fromhex(frame)).hex() == expected


class Slaves:
    """All slaves on one wire; `held` maps id and function to registers by address."""

    def __init__(self, link, held):
        self.held, self.asked = held, []
        self.spoil = lambda _request, answer: answer
        """What becomes of an answer: other bytes, or nothing."""
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        made = link.with_name("made")
        made.symlink_to(os.ttyname(self._slave))
        made.replace(link)
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._serve)
        self._thread.start()

    def _serve(self):
        while not self._ended.is_set():
            if select.select([self._master], [], [], 0.01)[0]:
                request = os.read(self._master, 256)
                assert crc(request[:-2]) == request[-2:]
                if request[0] in {slave for slave, _ in self.held}:
                    self.asked.append(request)
                    answer = self.spoil(request, self._answer(request))
                    os.write(self._master, answer or b"")

    def _answer(self, request):
        slave, function = request[:2]
        first, count = (int.from_bytes(request[at : at + 2], "big") for at in (2, 4))
        registers = self.held.get((slave, function), {})
        try:
            data = b"".join(registers[first + i].to_bytes(2, "big") for i in range(count))
            body = bytes([slave, function, len(data)]) + data
        except KeyError:
            body = bytes([slave, function | 0x80, 2])
        return body + crc(body)

    def unplug(self):
        if not self._ended.is_set():
            self._ended.set()
            self._thread.join()
            os.close(self._slave)
            os.close(self._master)


@pytest.fixture
def link(tmp_path):
    return tmp_path / "ttyRS485"


@pytest.fixture
def plug_in(link):
    plugged = []

    def start(held=BOTH):
        plugged.append(Slaves(link, held))
        return plugged[-1]

    yield start
    for slaves in plugged:
        slaves.unplug()


@pytest.fixture
def ask(link):
    sources = []

    def start(*slaves, every=0.02):
        settings = ModbusSettings(
            "wire", str(link), 9600, Parity.NONE, 1, TIMEOUT, every, slaves or (TENTHS, SECOND)
        )
        sources.append(PolledSource("wire", every, Wire(settings), now))
        sources[-1].start()
        return sources[-1]

    yield start
    for source in sources:
        source.close()
        assert source.condition().text == "closed"


def until(reached):
    """Wait for a condition and give its value; the deadline is only reached by a failure."""
    end = time.monotonic() + 60.0
    while not (value := reached()):
        assert time.monotonic() < end
        time.sleep(0.01)
    return value


def heard(source, count=6):
    """The next so many readings, as channel and value."""
    readings = []
    until(lambda: readings.extend(source.take()) or len(readings) >= count)
    return {(reading.channel, round(reading.value, 6)) for reading in readings}


WELL = {(WARMTH, 12.3), (DAMP, 88.1), (OTHER, -2.5)}


def test_several_slaves_on_one_wire_are_read_each_by_its_own_map(plug_in, ask):
    slaves = plug_in()
    source = ask()
    assert heard(source) == WELL
    assert (source.condition().connected, source.condition().text) == (True, "connected")
    # Both registers of the first slave come with one request, so that they belong together.
    assert [frame[:6].hex() for frame in slaves.asked[:2]] == ["010400010002", "020300000001"]


def test_a_slave_that_is_silent_is_named_and_does_not_keep_the_other_back(plug_in, ask):
    plug_in({(2, 3): {0: 1100}})
    source = ask()
    assert heard(source, 3) == {(OTHER, 11.0)}
    condition = source.condition()
    assert not condition.connected
    assert condition.text.startswith("slave 1 does not answer; are its supply")
    assert condition.rejected


def test_an_answer_after_the_time_out_is_not_taken_for_another_registers(plug_in, ask):
    """A slave's second request has the form of the first, and the first one's answer is late."""
    slaves = plug_in({(1, 4): {5: 500, 7: 700}})
    registers = {
        name: Register(address, RegisterKind.INPUT, RegisterType.INT16, 0.01)
        for name, address in (("five", 5), ("seven", 7))
    }
    fields = {"five": Field(WARMTH, Unit.CELSIUS), "seven": Field(OTHER, Unit.CELSIUS)}
    late = [True]

    def slow(_request, answer):
        time.sleep(1.4 * TIMEOUT if late else 0.2 * TIMEOUT)
        late.clear()
        return answer

    slaves.spoil = slow
    source = ask(SlaveSettings(1, registers, fields))
    assert heard(source, 10) == {(WARMTH, 5.0), (OTHER, 7.0)}
    assert source.condition().rejected == 1


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda _, answer: answer[:-1] + bytes([answer[-1] ^ 1]), "slave 1 gives damaged answers"),
        (lambda _, answer: b"\x03" + answer[1:], "slave 1 gives damaged answers"),
        (lambda _, answer: answer[:4], "slave 1 gives damaged answers"),
        (lambda *_: b"\xff\x1b[2J" * 40, "slave 1 gives damaged answers"),
    ],
)
def test_a_damaged_answer_is_never_a_reading_and_good_ones_follow(plug_in, ask, spoil, words):
    slaves = plug_in()
    slaves.spoil = lambda request, answer: spoil(request, answer) if request[0] == 1 else answer
    source = ask()
    assert heard(source, 2) == {(OTHER, -2.5)}
    assert words in source.condition().text
    assert source.condition().text.isprintable()
    slaves.spoil = lambda _, answer: answer
    until(lambda: source.condition().connected)
    source.take()
    assert heard(source) == WELL


def test_registers_that_a_slave_does_not_have_are_named(plug_in, ask):
    plug_in({(1, 3): {0: 123}})
    source = ask(TENTHS)
    text = until(lambda: "registers" in source.condition().text and source.condition().text)
    assert text == (
        "slave 1 has no input registers from 1 to 2; see its manual for the register map"
    )


def test_an_adapter_is_waited_for_missed_and_found_again(plug_in, ask):
    source = ask()
    until(lambda: source.condition().text.endswith("no such device"))
    before = len(os.listdir("/proc/self/fd"))
    for _ in range(3):
        slaves = plug_in()
        until(lambda: source.condition().connected)
        source.take()
        assert heard(source) == WELL
        slaves.unplug()
        until(lambda: not source.condition().connected)
    assert len(os.listdir("/proc/self/fd")) <= before


@pytest.mark.parametrize(
    ("parity", "letter"), [(Parity.NONE, "N"), (Parity.EVEN, "E"), (Parity.ODD, "O")]
)
def test_the_port_is_opened_as_the_settings_say(monkeypatch, parity, letter):
    """A pseudo-terminal has no parity, so this one looks at what the port is asked for."""
    opened = {}

    def serial(port, baud, **more):
        opened.update(more, port=port, baud=baud)
        raise OSError("enough")

    monkeypatch.setattr("serial.Serial", serial)
    settings = ModbusSettings("wire", "/dev/a", 19200, parity, 2, 0.5, 30.0, (TENTHS,))
    found = Wire(settings).ask(now, lambda _: False)
    assert found.troubles == ("waiting for /dev/a: enough",)
    assert (opened["port"], opened["baud"], opened["exclusive"]) == ("/dev/a", 19200, True)
    assert (opened["parity"], opened["stopbits"], opened["timeout"]) == (letter, 2, 0.5)
