"""The recorder publishes at a real broker, and a subscriber sees it."""

import json
import subprocess
import sys
import threading
from contextlib import closing

import pytest

pytest.importorskip("paho.mqtt", reason="the extra 'mqtt' is not installed")

from mosquitto import PROGRAM, Broker, Visitor, until

from cavewatch import clock
from cavewatch.cli.live import UNSENT
from cavewatch.cli.record import run
from cavewatch.config import parse
from cavewatch.core.journal import Acknowledged
from cavewatch.core.reading import Channel, Quantity
from cavewatch.store import Store
from sensors import broker as link

pytestmark = pytest.mark.skipif(PROGRAM is None, reason="there is no mosquitto on this machine")

CONFIG = """\
[dairy]
name = "Hill/Valley dairy (invented)"
zone = "Europe/Dublin"
[clock]
always_right = true
[store]
path = "dairy.sqlite"
commit_every = 1
[[place]]
name = "cave #1"
kind = "cave"
temperature = [10, 13]
[mqtt]
host = "127.0.0.1"
port = {port}
prefix = "home"
publish = true
[[mqtt.sensor]]
name = "probe"
topic = "cave-probe"
every = {every}
[mqtt.sensor.fields]
t = "cave #1.temperature"
[tuning."cave #1.temperature"]
on_delay = 0
off_delay = 0
"""
UNDER = "home/Hill%2FValley dairy (invented)/"
READING = f"{UNDER}reading/cave %231/temperature"
HIGH = f"{UNDER}alarm/cave %231.temperature high"


@pytest.fixture
def broker(tmp_path):
    made = Broker(tmp_path)
    made.start()
    yield made
    made.kill()


@pytest.fixture
def visitor(broker):
    made = Visitor(broker.port)
    yield made
    made.leave()


@pytest.fixture
def recording(broker, tmp_path):
    """Start the recorder's own loop in a thread; it is ended at the end, or before."""
    ended, threads = threading.Event(), []
    config = parse(CONFIG.format(port=broker.port, every=30), tmp_path / "my.toml")

    def end():
        ended.set()
        for thread in threads:
            thread.join()

    threads.append(threading.Thread(target=run, args=(config, ended)))
    threads[0].start()
    yield config, end
    end()


def test_a_reading_from_a_topic_is_kept_and_published_with_its_range(recording, visitor):
    until(lambda: visitor.kept().get(f"{UNDER}available") == "online")
    until(lambda: visitor.send("cave-probe", "12.3") or READING in visitor.kept())
    said = json.loads(visitor.kept()[READING])
    at = said.pop("at")
    assert said == {"value": 12.3, "unit": "degC", "status": "good", "low": 10.0, "high": 13.0}
    assert at.endswith("+00:00")
    assert abs(clock.instant(at, 0.0, clock.zone("UTC")) - clock.now()) < 120
    config, end = recording
    end()
    store = Store.open(config.store_path)
    try:
        kept = store.readings(Channel("cave #1", Quantity.TEMPERATURE), 0.0, 1e12)
    finally:
        store.close()
    assert {reading.value for reading in kept} == {12.3}


def test_an_alarm_is_published_while_it_stands_and_taken_away_after(recording, visitor):
    until(lambda: visitor.send("cave-probe", "13.4") or HIGH in visitor.kept())
    said = json.loads(visitor.kept()[HIGH])
    assert said["state"] == "UNACK"
    assert said["what"].startswith("cave #1 is too warm")
    assert {"since", "priority", "causes", "consequence", "action", "respond_hours"} <= set(said)
    with closing(Store.open(recording[0].store_path)) as store:
        until(lambda: visitor.send("cave-probe", "12.4") or state_of(visitor) == "RTNUN")
        now = clock.now()
        store.append(now, now, "AB", Acknowledged("cave #1.temperature high"))
        until(lambda: HIGH not in visitor.kept())


def state_of(visitor):
    return json.loads(visitor.kept()[HIGH])["state"]


@pytest.mark.usefixtures("recording")
def test_who_comes_later_sees_everything_at_once(broker, visitor):
    until(lambda: visitor.send("cave-probe", "12.3") or READING in visitor.kept())
    late = Visitor(broker.port)
    try:
        until(lambda: {READING, f"{UNDER}available"} <= set(late.kept()))
    finally:
        late.leave()


def test_what_an_earlier_run_has_left_is_taken_away_and_the_rest_stays(visitor, request):
    left = f"{UNDER}alarm/wheel 3 lift late"
    other = "home/another dairy/alarm/x"
    visitor.send(left, "{}", retain=True)
    visitor.send(other, "{}", retain=True)
    request.getfixturevalue("recording")
    until(
        lambda: (
            visitor.heard and left not in visitor.kept() and UNDER + "available" in visitor.kept()
        )
    )
    assert other in visitor.kept()


def test_the_end_of_the_recorder_is_told(recording, visitor):
    until(lambda: visitor.kept().get(f"{UNDER}available") == "online")
    recording[1]()
    until(lambda: visitor.kept().get(f"{UNDER}available") == "offline")


def test_the_broker_itself_tells_that_the_recorder_was_killed(broker, visitor, tmp_path):
    path = tmp_path / "my.toml"
    path.write_text(CONFIG.format(port=broker.port, every=30))
    recorder = subprocess.Popen([sys.executable, "-m", "cavewatch", "--config", path, "record"])
    try:
        until(lambda: visitor.kept().get(f"{UNDER}available") == "online")
    finally:
        recorder.kill()
        recorder.wait()
    until(lambda: visitor.kept().get(f"{UNDER}available") == "offline")


def test_a_broker_that_comes_back_is_told_everything_anew(recording, broker, monkeypatch):
    monkeypatch.setattr(link, "_LONGEST_PAUSE", 0.1)
    config, _ = recording
    first = Visitor(broker.port)
    until(lambda: first.send("cave-probe", "12.3") or READING in first.kept())
    first.leave()
    broker.kill()
    store = Store.open(config.store_path)
    try:
        until(lambda: (store.meta(UNSENT) or "").startswith("publishing: waiting for the MQTT"))
        broker.start()
        second = Visitor(broker.port)
        try:
            until(lambda: {READING, f"{UNDER}available"} <= set(second.kept()))
        finally:
            second.leave()
        until(lambda: store.meta(UNSENT) == "")
    finally:
        store.close()
