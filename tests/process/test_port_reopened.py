"""A serial port that goes and comes a hundred times, with everything that a bad plug can send."""

import fcntl
import gc
import os
import random
import termios
import threading
import time
import tracemalloc
import tty

from cavewatch.clock import now
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.sensor import Field, LineFormat, PortSettings, Unit
from sensors import port
from sensors.port import SerialSource

ROUNDS = 100
WARMTH = Channel("cave", Quantity.TEMPERATURE)
DAMP = Channel("cave", Quantity.HUMIDITY)
FIELDS = {"T": Field(WARMTH, Unit.CELSIUS), "RH": Field(DAMP, Unit.PERCENT)}
TRUE = {(WARMTH, 12.34), (DAMP, 88.1)}
HALVES = (b"T=12.34 RH=88.1\r\n"[:cut] for cut in (4, 5, 6, 11, 12, 13, 14) * ROUNDS)


def until(reached):
    """Wait for a condition; the deadline is only reached by a failure."""
    end = time.monotonic() + 60.0
    while not reached():
        assert time.monotonic() < end
        time.sleep(0.002)


class Plug:
    """The far end of a port; its link is put where the settings say."""

    def __init__(self, link):
        self._master, slave = os.openpty()
        tty.setraw(slave)
        os.set_blocking(self._master, False)
        self._slave = slave
        made = link.with_name("made")
        made.symlink_to(os.ttyname(slave))
        made.replace(link)

    def send(self, data):
        while data:
            try:
                data = data[os.write(self._master, data[:1000]) :]
            except BlockingIOError:
                time.sleep(0.001)

    def pull(self):
        """Once everything was read that was sent."""
        until(lambda: fcntl.ioctl(self._slave, termios.FIONREAD, b"\0" * 4) == b"\0" * 4)
        os.close(self._slave)
        os.close(self._master)


def held():
    gc.collect()
    return len(os.listdir("/proc/self/fd")), threading.active_count()


def test_a_hundred_openings_leak_nothing_and_give_no_false_reading(tmp_path, monkeypatch):
    monkeypatch.setattr(port, "_FIRST_PAUSE", 0.002)
    monkeypatch.setattr(port, "_LONGEST_PAUSE", 0.002)
    link = tmp_path / "ttyBAD"
    chance = random.Random(7)
    before = held()
    source = SerialSource(
        PortSettings("board", str(link), 9600, LineFormat.AUTO, (), FIELDS, 10.0), now
    )
    source.start()
    seen, grown = [], []
    tracemalloc.start()
    try:
        for turn in range(ROUNDS):
            plug = Plug(link)
            until(lambda: source.condition().connected)
            # The rest of a line whose beginning went with the last connection.
            plug.send(b"4 RH=8.1\r\n")
            if turn % 3 == 0:
                plug.send(chance.randbytes(2000))
            elif turn % 3 == 1:
                plug.send(b"x" * 20_000)
            plug.send(b"\r\nT=12.34 RH=88.1\r\n")
            got = []
            until(lambda got=got: got.extend(source.take()) or len(got) >= 2)
            plug.send(next(HALVES))
            plug.pull()
            until(lambda: not source.condition().connected)
            seen += got + source.take()
            grown.append(tracemalloc.get_traced_memory()[0])
    finally:
        tracemalloc.stop()
        source.close()
    assert {(reading.channel, reading.value) for reading in seen} == TRUE
    assert len(seen) == 2 * ROUNDS
    assert held() == before
    # Half way on it held as much as at the end, but for the readings that this test has kept.
    assert grown[-1] - grown[ROUNDS // 2] < 100_000
