"""Sensors behind an MQTT broker and logs that grow: what may be mistaken is said with its line."""

from pathlib import Path

import pytest

from cavewatch.config import Config, ConfigError, parse
from cavewatch.core.sensor import FollowSettings, TopicSettings

DAIRY = """\
[dairy]
name = "A dairy"
zone = "Europe/Dublin"
[[place]]
name = "cave"
kind = "cave"
"""
TOPIC = """\
[[mqtt.sensor]]
name = "probe"
topic = "a/b"
[mqtt.sensor.fields]
t = "cave.temperature"
"""
GROWN = """\
[[follow]]
name = "logger"
file = "log.csv"
[follow.fields]
H = "cave.humidity"
"""


def parsed(text: str, folder: Path = Path()) -> Config:
    return parse(DAIRY + text, folder / "c.toml")


def test_a_broker_is_on_this_machine_and_nothing_is_published_unless_the_maker_says_so() -> None:
    broker = parsed("[mqtt]\n").mqtt
    assert broker is not None
    assert (broker.host, broker.port, broker.tls, broker.publish) == (
        "localhost",
        1883,
        False,
        False,
    )
    assert (broker.user, broker.password_file, broker.prefix) == ("", "", "cavewatch")
    encrypted = parsed("[mqtt]\ntls = true\n").mqtt
    assert encrypted is not None
    assert encrypted.port == 8883


def test_no_broker_is_reached_where_none_is_named() -> None:
    assert parsed("").mqtt is None


def test_a_sensor_with_one_field_may_send_nothing_but_a_number() -> None:
    (sensor,) = parsed(TOPIC).sensors
    assert isinstance(sensor, TopicSettings)
    assert sensor.columns == ("t",)
    (sensor,) = parsed(TOPIC + 'h = "cave.humidity"\n').sensors
    assert isinstance(sensor, TopicSettings)
    assert sensor.columns == ()


def test_a_log_that_grows_is_found_beside_the_config_in_the_dairys_zone(tmp_path: Path) -> None:
    config = parsed(GROWN + TOPIC, tmp_path)
    behind, grown = config.sensors
    assert isinstance(grown, FollowSettings)
    assert grown.file == str(tmp_path / "log.csv")
    assert (grown.log.zone, grown.every, behind.every) == ("Europe/Dublin", 300.0, 30.0)
    assert {str(channel): age for channel, age in config.channels.items()} == {
        "cave.temperature": 90.0,
        "cave.humidity": 900.0,
    }


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("[mqtt]\nport = 0\n", 8, "write a whole number from 1 to 65535"),
        ('[mqtt]\nhots = "a"\n', 8, "did you mean 'host'?"),
        ('[mqtt]\nprefix = "a/#"\n', 8, "'a/#' is not one topic; write it without '+' and '#'"),
        ('[mqtt]\npassword_file = "no/such/folder"\n', 8, "lies in a folder that is not there"),
        (TOPIC.replace("a/b", "a/+/b"), 9, "'a/+/b' is not one topic"),
        (TOPIC.replace('topic = "a/b"\n', ""), 7, "topic: this key is missing"),
        (TOPIC.replace("cave.t", "cage.t"), 11, "did you mean 'cave'?"),
        (TOPIC.replace('"a/b"', '"a/b"\ncolumns = ["x"]'), 12, "no such name among the columns"),
        (TOPIC + TOPIC.replace("probe", "PROBE"), 13, "name of a sensor on line 8 already"),
        (TOPIC + TOPIC.replace("probe", "other"), 16, "is fed already from line 11"),
        (GROWN + GROWN, 13, "name of a sensor on line 8 already"),
        (GROWN + GROWN, 14, "file of a sensor on line 9 already"),
        (GROWN.replace('[follow.fields]\nH = "cave.humidity"\n', ""), 7, "fields: this key is"),
        (GROWN.replace('"log.csv"', '"log.csv"\nyear = 1'), 10, "from 1970 to 9998"),
        (GROWN.replace('"log.csv"', '"~nobody-here/log.csv"'), 9, "cannot be used as a file"),
    ],
)
def test_a_mistake_is_named_with_its_line_and_what_to_write(
    text: str, line: int, words: str
) -> None:
    with pytest.raises(ConfigError) as caught:
        parsed(text)
    said = [fault for fault in caught.value.faults if words in fault]
    assert len(said) == 1, caught.value.faults
    assert said[0].startswith(f"c.toml, line {line}: ")
