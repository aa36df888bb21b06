"""Sensors on Modbus and one-wire: what may be mistaken in them is said with its line."""

from pathlib import Path

import pytest

from cavewatch.config import ConfigError, parse

DAIRY = """\
[dairy]
name = "A dairy"
zone = "UTC"
[[place]]
name = "cave"
kind = "cave"
"""
WIRE = """\
[[modbus]]
name = "wire"
port = "/dev/a"
[[modbus.slave]]
id = 1
registers = "tenths"
[modbus.slave.fields]
temperature = "cave.temperature"
"""
SECOND = """\
[[modbus.slave]]
id = 2
[modbus.slave.registers]
RH = { address = 0, kind = "holding", scale = 0.1 }
[modbus.slave.fields]
RH = "cave.humidity"
"""
PROBE = """\
[[one_wire]]
name = "probe"
file = "/sys/bus/w1/devices/28-0/w1_slave"
channel = "cave.temperature"
"""


def faults(text: str) -> list[str]:
    with pytest.raises(ConfigError) as caught:
        parse(DAIRY + text, Path("c.toml"))
    return list(caught.value.faults)


def test_every_slave_and_probe_feeds_its_channels_and_is_missed_after_three_readings() -> None:
    probe = PROBE.replace("cave.t", "tub.t") + 'every = "1 min"\n'
    tub = '[[place]]\nname = "tub"\nkind = "tray"\n'
    config = parse(DAIRY + tub + WIRE + SECOND + probe, Path("c.toml"))
    assert [sensor.name for sensor in config.sensors] == ["wire", "probe"]
    assert {str(channel): age for channel, age in config.channels.items()} == {
        "cave.temperature": 90.0,
        "cave.humidity": 90.0,
        "tub.temperature": 180.0,
    }


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (WIRE.replace("id = 1", "id = 248"), 11, "modbus.slave.id: 248 is not allowed"),
        (WIRE.replace('"tenths"', '"tents"'), 12, "did you mean 'tenths'?"),
        (WIRE.replace('"tenths"', '"x"'), 12, "write 'tenths', or a table"),
        (WIRE.replace('"tenths"', "3"), 12, "modbus.slave.registers: 3 names nothing"),
        (WIRE.replace("\ntemperature", "\ntemperatur"), 14, "did you mean 'temperature'?"),
        (WIRE.replace("\ntemperature", "\nT"), 14, "write one of 'temperature', 'humidity'"),
        (WIRE.replace('"/dev/a"', '"/dev/a"\nparity = "mark"'), 10, "write none, even or odd"),
        (WIRE.replace('"/dev/a"', '"/dev/a"\nstop_bits = 3'), 10, "a whole number from 1 to 2"),
        (WIRE.replace('"/dev/a"', '"/dev/a"\ntimeout = "6 s"'), 10, "from 0.05 to 5 (s)"),
        (WIRE.replace('"/dev/a"', '"/dev/a"\nevery = 1'), 10, "write at least 2 s or a shorter"),
        (WIRE + SECOND.replace("id = 2", "id = 1"), 16, "id of a slave on line 11 already"),
        (WIRE + SECOND.replace("holding", "coil"), 18, "write input or holding"),
        (WIRE + SECOND.replace(", scale = 0.1", ""), 18, "scale: this key is missing"),
        (WIRE + SECOND.replace("scale = 0.1", "scale = 0"), 18, "0 is out of range"),
        (
            WIRE + SECOND.replace("address = 0", 'address = 65535, type = "int32"'),
            18,
            "int32 takes two registers; write at most 65534",
        ),
        (WIRE + SECOND.replace('"cave.humidity"', '"cav.humidity"'), 20, "did you mean 'cave'?"),
        (WIRE + PROBE, 18, "'cave.temperature' is fed already from line 14"),
        (PROBE.replace("cave.temperature", "cave.humidity"), 10, "write PLACE.temperature"),
        (PROBE.replace("cave.t", "cage.t"), 10, "did you mean 'cave'?"),
        (PROBE + PROBE.replace('"probe"', '"other"'), 13, "file of a sensor on line 9 already"),
    ],
)
def test_a_mistake_is_named_with_its_line_and_what_to_write(text, line, words) -> None:  # type: ignore[no-untyped-def]
    said = [fault for fault in faults(text) if words in fault]
    assert len(said) == 1, faults(text)
    assert said[0].startswith(f"c.toml, line {line}: ")


def test_a_port_cannot_be_listened_to_and_asked_at_once() -> None:
    lines = '[[sensor]]\nname = "WIRE"\nport = "/dev/a"\n[sensor.fields]\nH = "cave.humidity"\n'
    said = faults(lines + WIRE)
    assert [fault.partition(": this is the ")[2] for fault in said] == [
        "name of a sensor on line 8 already; write another one",
        "port of a sensor on line 9 already; write another one",
    ]
