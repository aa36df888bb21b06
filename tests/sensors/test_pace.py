"""A log replayed at the pace of a clock."""

import pytest

from cavewatch.core.sensor import LogSettings
from sensors.log import LogFile
from sensors.pace import LogSource
from sensors.source import SourceCondition


class Hands:
    """A clock that stands where it is put."""

    at = 0.0

    def __call__(self):
        return self.at


@pytest.fixture
def clock():
    return Hands()


@pytest.fixture
def source(tmp_path, clock):
    path = tmp_path / "week.csv"
    path.write_text("time,cave.temperature\n100,12.0\n200,12.1\nbad,12.2\n300,12.3\n")
    made = LogSource(LogFile(path, LogSettings({})), clock)
    yield made
    made.close()


def values(readings):
    return [reading.value for reading in readings]


def test_readings_come_when_the_clock_reaches_them_and_once(source, clock):
    source.start()
    assert source.take() == []
    clock.at = 200.0
    assert values(source.take()) == [12.0, 12.1]
    assert source.take() == []
    assert not source.finished
    clock.at = 1000.0
    assert values(source.take()) == [12.3]
    assert source.finished


def test_a_clock_set_back_brings_nothing_twice(source, clock):
    source.start()
    clock.at = 250.0
    source.take()
    clock.at = 150.0
    assert source.take() == []
    clock.at = 350.0
    assert values(source.take()) == [12.3]


def test_the_condition_tells_how_far_it_is(source, clock):
    assert source.condition() == SourceCondition(False, "not started", None, 0)
    assert not source.finished
    source.start()
    clock.at = 100.0
    source.take()
    assert source.condition() == SourceCondition(True, "replaying", 100.0, 0)
    clock.at = 300.0
    source.take()
    ended = source.condition()
    assert (ended.connected, ended.heard_at, ended.rejected) == (False, 300.0, 1)
    assert ended.text.startswith(
        "the log has ended; not all of it could be read, at first week.csv, line 4: 'bad' is not"
    )


def test_nothing_comes_after_closing(source, clock):
    source.start()
    source.close()
    clock.at = 1000.0
    assert source.take() == []
    assert source.finished
