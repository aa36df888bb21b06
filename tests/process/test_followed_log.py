"""A log file followed while another program writes, rotates, cuts and damages it."""

import os
import subprocess
import sys
import threading
import time
import tracemalloc

import pytest

from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.sensor import Field, FollowSettings, LogSettings, Unit
from sensors import follow
from sensors.follow import GrowingLog
from sensors.polled import PolledSource

WARMTH = Channel("cave", Quantity.TEMPERATURE)
DAMP = Channel("cave", Quantity.HUMIDITY)
FIELDS = {"T": Field(WARMTH, Unit.CELSIUS, 0.5), "H": Field(DAMP, Unit.PERCENT)}
NOW = 1_000_000.0


@pytest.fixture
def path(tmp_path):
    return tmp_path / "log.csv"


def go_on(_seconds):
    return False


class Follower:
    """A log that is looked at when the test says so."""

    def __init__(self, path, since=None, fields=FIELDS, **log):
        settings = FollowSettings("log", str(path), 300.0, LogSettings(fields, **log))
        self.now, self.sure = NOW, True
        self.log = GrowingLog(settings, since, lambda: self.sure)
        self.troubles = ()
        self.refused = 0

    def look(self):
        found = self.log.ask(lambda: self.now, go_on)
        self.troubles = found.troubles
        self.refused += found.refused
        assert all(reading.dated for reading in found.readings)
        assert all(words.isprintable() for words in found.troubles)
        return [(r.at, r.channel.quantity.value[0], r.value) for r in found.readings]


@pytest.fixture
def followed(path):
    made = []

    def start(since=None, **more):
        made.append(Follower(path, since, **more))
        return made[-1]

    yield start
    for follower in made:
        follower.log.let_go()


def add(path, text):
    with path.open("a", newline="") as file:
        file.write(text)


def test_rows_are_read_as_they_are_added_and_those_from_before_are_not(path, followed):
    path.write_text("time,T,H\n100,1,50\n200,2,50\n")
    log = followed()
    assert log.look() == []
    add(path, "300,12.0,88\n")
    assert log.look() == [(300.0, "t", 12.5), (300.0, "h", 88.0)]
    assert log.look() == []
    add(path, "400,12.1,88\r\n500,,89\n")
    assert log.look() == [(400.0, "t", 12.6), (400.0, "h", 88.0), (500.0, "h", 89.0)]
    assert (log.troubles, log.refused) == ((), 0)


def test_rows_since_the_newest_reading_kept_are_caught_up_with(path, followed):
    path.write_text("time,T,H\n100,1,50\n200,2,51\n300,3,52\n")
    assert followed(since=100.0).look() == [
        (200.0, "t", 2.5),
        (200.0, "h", 51.0),
        (300.0, "t", 3.5),
        (300.0, "h", 52.0),
    ]


def test_a_reading_kept_from_the_future_does_not_hide_what_comes(path, followed):
    path.write_text(f"time,T,H\n{NOW - 10},1,50\n")
    log = followed(since=NOW + 1e8)
    assert log.look() == []
    add(path, f"{NOW + 5},2,50\n")
    assert [at for at, *_ in log.look()] == [NOW + 5] * 2


def test_rows_ahead_of_a_clock_that_is_not_set_wait_for_it_and_none_is_lost(path, followed):
    path.write_text("time,T,H\n100,1,50\n")
    log = followed(since=100.0)
    log.now, log.sure = 200.0, False
    add(path, "190,2,50\n7200,3,50\n7210,4,50\n")
    assert [at for at, *_ in log.look()] == [190.0, 190.0]
    assert log.troubles == (
        "waiting for its clock: '7200' is still to come by this machine's clock",
    )
    add(path, "7220,5,50\n")
    assert log.look() == []
    log.now, log.sure = 7300.0, True
    assert [at for at, *_ in log.look()] == [7200.0, 7200.0, 7210.0, 7210.0, 7220.0, 7220.0]
    assert (log.troubles, log.refused) == ((), 0)


def test_a_clock_behind_the_newest_reading_kept_reads_nothing_twice(path, followed):
    path.write_text("time,T,H\n100,1,50\n5000,2,50\n")
    log = followed(since=5000.0)
    log.now, log.sure = 50.0, False
    assert log.look() == []
    assert log.troubles[0].endswith("this machine's clock is not set yet")
    add(path, "5010,3,50\n")
    log.now, log.sure = 5020.0, True
    assert [at for at, *_ in log.look()] == [5010.0, 5010.0]


def test_a_past_that_was_there_before_the_clock_was_set_is_passed_over(path, followed):
    path.write_text("time,T,H\n100,1,50\n9000,2,50\n")
    log = followed()
    log.now, log.sure = 50.0, False
    assert log.look() == []
    add(path, "9010,3,50\n")
    assert log.look() == []
    log.now, log.sure = 9020.0, True
    assert [at for at, *_ in log.look()] == [9010.0, 9010.0]


def test_half_a_line_waits_for_its_end(path, followed):
    path.write_text("time,T")
    log = followed(since=0.0)
    assert log.look() == []
    add(path, ",H\n100,1")
    assert log.look() == []
    add(path, "2.3,8")
    assert log.look() == []
    add(path, "8\n")
    assert log.look() == [(100.0, "t", 12.8), (100.0, "h", 88.0)]
    assert log.refused == 0


def test_a_file_that_is_not_there_is_waited_for_and_read_from_its_first_row(path, followed):
    log = followed()
    assert log.look() == []
    assert log.troubles == (f"waiting for {path}: no such file"[-200:],)
    path.write_text("time,T,H\n100,1,50\n")
    assert log.look() == [(100.0, "t", 1.5), (100.0, "h", 50.0)]
    assert log.troubles == ()
    path.unlink()
    assert log.look() == []
    assert "no such file" in log.troubles[0]
    path.write_text("time,T,H\n100,1,50\n200,2,50\n")
    assert [at for at, *_ in log.look()] == [200.0, 200.0]


def test_what_was_written_just_before_a_rotation_is_read_too(path, followed):
    path.write_text("time,T,H\n100,1,50\n")
    log = followed()
    log.look()
    add(path, "200,2,50\n")
    path.rename(path.with_suffix(".old"))
    path.write_text("time,H,T\n300,51,3\n")
    assert log.look() == [
        (200.0, "t", 2.5),
        (200.0, "h", 50.0),
        (300.0, "t", 3.5),
        (300.0, "h", 51.0),
    ]


def test_a_file_that_is_cut_or_written_anew_gives_nothing_twice(path, followed):
    rows = "time,T,H\n100,1,50\n200,2,50\n"
    path.write_text(rows)
    log = followed(since=0.0)
    assert len(log.look()) == 4
    path.write_text("")
    assert log.look() == []
    path.write_text(rows.replace("200", "300"))
    assert [at for at, *_ in log.look()] == [300.0, 300.0]


def test_a_bad_row_is_told_until_a_good_one_comes(path, followed):
    path.write_text("time,T,H\n")
    log = followed(since=0.0)
    add(path, "100,1.2.3,50\n")
    assert log.look() == [(100.0, "h", 50.0)]
    assert log.troubles == ("line 2: 'T' holds '1.2.3', which is not a number",)
    assert log.look() == []
    assert log.troubles
    for row in ("never,1,2\n", "200,1\n", "\x1b[2J[red]\n", '"100,1\n'):
        add(path, row)
        assert log.look() == []
        assert log.troubles[0].startswith("line ")
    assert log.refused == 5
    add(path, "300,1,50\n")
    assert len(log.look()) == 2
    assert (log.troubles, log.refused) == ((), 5)


def test_a_damaged_time_far_ahead_does_not_hide_the_rows_after_it(path, followed):
    path.write_text("time,T,H\n100,1,50\n")
    log = followed(since=0.0)
    add(path, "5000000000,1,50\n200,2,50\n")
    assert [at for at, *_ in log.look()] == [100.0, 100.0, 200.0, 200.0]
    assert log.refused == 1


def test_a_column_that_is_missing_is_told_and_the_other_is_read(path, followed):
    path.write_text("time,T\n100,1\n")
    log = followed(since=0.0)
    assert log.look() == [(100.0, "t", 1.5)]
    assert log.troubles == ("there is no column 'H'",)


def test_titles_that_cannot_be_used_are_told_until_the_file_is_put_right(path, followed):
    path.write_text("when,T,H\n100,1,50\n")
    log = followed(since=0.0)
    assert log.look() == []
    assert log.look() == []
    assert log.troubles[0].startswith("line 1: there is no column 'time'")
    path.write_text("time,T,H\n")
    add(path, "100,1,50\n")
    log.look()
    path.unlink()
    path.write_text("time,T,H\n100,1,50\n")
    log.look()
    assert log.troubles == ()


def test_what_is_no_ordinary_file_is_refused_at_once(path, followed):
    os.mkfifo(path)
    log = followed(since=0.0)
    assert log.look() == []
    assert log.troubles[0].endswith("it is not an ordinary file")
    path.unlink()
    path.mkdir()
    log.look()
    assert log.troubles[0].endswith("it is not an ordinary file")


def test_long_lines_and_a_long_past_stay_within_memory(path, followed):
    with path.open("w") as file:
        file.write("time,T,H\n" + "x" * 3_000_000 + "\n")
        file.writelines(f"{at},12.3,88\n" for at in range(1, 200_000))
    log = followed()
    tracemalloc.start()
    try:
        assert log.look() == []
        assert tracemalloc.get_traced_memory()[1] < 2_000_000
    finally:
        tracemalloc.stop()
    assert log.refused == 1
    add(path, "200000,12.3,88\n")
    assert len(log.look()) == 2


def test_a_long_backlog_comes_in_parts_that_the_caller_can_take(path, followed):
    with path.open("w") as file:
        file.write("time,T,H\n")
        file.writelines(f"{at},12.3,88\n" for at in range(1, 20_000))
    log = followed(since=0.0)
    parts = []
    while part := log.look():
        assert len(part) < 10_000
        parts += part
    assert len(parts) == 2 * 19_999
    assert [at for at, *_ in parts] == sorted(at for at, *_ in parts)


WRITER = """\
import pathlib, sys, time
path = pathlib.Path(sys.argv[1])
row = 0
for turn in range(4):
    with path.open("w") as file:
        file.write("time,T,H\\n")
        for _ in range(50):
            row += 1
            text = f"{row},12.3,88\\n"
            file.write(text[:4]); file.flush()
            time.sleep(0.001)
            file.write(text[4:]); file.flush()
    while not path.with_suffix(".go").exists():
        time.sleep(0.005)
    path.with_suffix(".go").unlink()
    path.rename(path.with_suffix(f".{turn}"))
"""


def test_a_real_writer_is_followed_through_its_rotations(path, monkeypatch):
    monkeypatch.setattr("sensors.polled._FIRST_PAUSE", 0.01)
    settings = FollowSettings("log", str(path), 300.0, LogSettings(FIELDS))
    source = PolledSource("log", 0.01, GrowingLog(settings, 0.0), lambda: NOW)
    threads, files = threading.active_count(), len(os.listdir("/proc/self/fd"))
    source.start()
    writer = subprocess.Popen([sys.executable, "-c", WRITER, path])
    seen = []
    try:
        for turn in range(1, 5):
            end = time.monotonic() + 60.0
            while len(seen) < 100 * turn:
                assert time.monotonic() < end, (len(seen), source.condition())
                seen += source.take()
                time.sleep(0.01)
            path.with_suffix(".go").touch()
        writer.wait(60)
    finally:
        writer.kill()
        writer.wait()
        source.close()
    assert [r.at for r in seen if r.channel == WARMTH] == [float(row) for row in range(1, 201)]
    assert {r.value for r in seen} == {12.8, 88.0}
    assert (threading.active_count(), len(os.listdir("/proc/self/fd"))) == (threads, files)


def test_a_file_is_looked_at_often_enough_for_a_screen():
    assert follow.PACE <= 2.0
