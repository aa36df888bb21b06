"""The example config: it loads, switched-off settings too, and shows every key there is."""

import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from cavewatch.config import Config, load, parse
from cavewatch.config.fields import FIELD
from cavewatch.config.registers import READY, REGISTER
from cavewatch.config.schema import schema
from cavewatch.config.tables import Reader, Table, Tables
from cavewatch.config.texts import TEXT as ALARM_TEXT
from cavewatch.config.texts import shipped
from cavewatch.config.tuning import TUNING
from cavewatch.core.alarms.limits import Tuning
from cavewatch.core.broker import BrokerSettings
from cavewatch.core.place import PlaceKind, TubBrine
from cavewatch.core.reading import Channel, Quantity
from cavewatch.core.sensor import (
    Field,
    FollowSettings,
    LineFormat,
    ModbusSettings,
    OneWireSettings,
    Parity,
    Register,
    RegisterKind,
    RegisterType,
    SlaveSettings,
    TopicSettings,
    Unit,
)
from cavewatch.units import System

EXAMPLE = Path(__file__).parents[2] / "config.example.toml"
TEXT = EXAMPLE.read_text(encoding="utf-8")
SWITCHED_ON = re.sub(r"(?m)^#(?=[\[\w])", "", TEXT)
"""The example with the settings that are switched off there."""


def keys(reader: Reader, path: str = "") -> Iterator[str]:
    """Every key of the schema, as 'place.brine.strength'."""
    table = reader.table if isinstance(reader, Tables) else reader
    if isinstance(table, Table):
        for name, key in table.keys.items():
            yield f"{path}{name}"
            yield from keys(key.reader, f"{path}{name}.")


def written(value: Any, path: str = "") -> Iterator[str]:
    """Every key of a parsed file, as 'place.brine.strength'."""
    if isinstance(value, dict):
        for name, item in value.items():
            yield f"{path}{name}"
            yield from written(item, f"{path}{name}.")
    elif isinstance(value, list):
        for item in value:
            yield from written(item, path)


def test_the_example_shows_every_key_there_is() -> None:
    shown = set(written(tomllib.loads(SWITCHED_ON)))
    assert set(keys(schema(Path()))) <= shown
    for sort in ("sensor", "log"):
        details = {key.split(".")[-1] for key in shown if key.startswith(f"{sort}.fields.")}
        assert set(FIELD.keys) & details or sort == "log"
    assert all(any(key.endswith(f".{detail}") for key in shown) for detail in FIELD.keys)
    assert {f"modbus.slave.registers.air.{detail}" for detail in REGISTER.keys} <= shown


def test_the_example_shows_every_key_of_an_alarm() -> None:
    shown = tomllib.loads(SWITCHED_ON)
    assert set(shown["tuning"]["lower cave.humidity"]) == set(TUNING[Quantity.HUMIDITY].keys)
    assert set(shown["alarm_text"]["humidity low"]) == set(ALARM_TEXT.keys)


def test_the_example_explains_every_key_that_may_be_left_out() -> None:
    kinds = (*Parity, *RegisterKind, *RegisterType, *READY)
    for word in (*PlaceKind, *LineFormat, *Unit, *System, *kinds):
        assert f'"{word}"' in TEXT


@pytest.fixture(scope="module")
def config() -> Config:
    return load(EXAMPLE)


def test_the_example_loads_as_it_is(config: Config) -> None:
    assert "invented" in config.name
    assert [place.kind for place in config.places].count(PlaceKind.CAVE) == 2
    tub = config.places[0]
    assert tub.brine == TubBrine(strength=20.0, litres=60.0, temperature=12.0)
    assert (tub.own[Quantity.TEMPERATURE].low, tub.own[Quantity.TEMPERATURE].high) == (10.0, 14.0)
    assert config.places[1].own == {}
    first, second = config.sensors
    assert first.port.startswith("/dev/serial/by-id/")
    assert (first.format, first.columns, first.every) == (LineFormat.COLUMNS, ("T", "H"), 30.0)
    assert first.fields["H"] == Field(
        Channel("lower cave", Quantity.HUMIDITY), Unit.PERCENT, offset=-1.5
    )
    assert (second.baud, second.format, second.every) == (9600, LineFormat.AUTO, 30.0)
    assert second.fields["tub"].unit is Unit.FAHRENHEIT
    assert config.log is not None
    assert config.log.time_columns == ("Date", "Time")
    assert config.log.fields["Dry-bulb (C)"].channel == Channel("lower cave", Quantity.TEMPERATURE)
    assert "gouda" in config.styles
    assert config.path == EXAMPLE


def test_channels_are_silent_after_three_missed_readings(config: Config) -> None:
    assert set(config.channels.values()) == {90.0}
    assert len(config.channels) == 5


def test_the_example_loads_with_everything_switched_on(tmp_path: Path) -> None:
    config = parse(SWITCHED_ON, tmp_path / "config.toml")
    assert config.initials == "AB"
    assert config.store_path == tmp_path / "cavewatch.sqlite"
    assert config.log is not None
    assert config.log.year == 2026
    assert config.styles["gouda"].salt.value == 1.8
    assert config.styles["farmhouse"].name == "Our farmhouse wheel"
    wire, probe, behind, grown = config.sensors[2:]
    damp, warm = (Channel("drying rack", quantity) for quantity in reversed(Quantity))
    assert isinstance(wire, ModbusSettings)
    assert (wire.baud, wire.parity, wire.stop_bits, wire.timeout) == (9600, Parity.NONE, 1, 1.0)
    float32 = Register(0, RegisterKind.HOLDING, RegisterType.FLOAT32, 1.0, low_word_first=True)
    assert wire.slaves == (
        SlaveSettings(1, READY["tenths"], {"humidity": Field(damp, Unit.PERCENT, 0.8)}),
        SlaveSettings(2, {"air": float32}, {"air": Field(warm, Unit.CELSIUS)}),
    )
    assert isinstance(probe, OneWireSettings)
    assert probe.field == Field(Channel("make room", Quantity.TEMPERATURE), Unit.CELSIUS, 0.2)
    assert {damp, warm, probe.field.channel} <= set(config.channels)
    assert isinstance(behind, TopicSettings)
    assert config.mqtt == behind.broker
    assert behind.broker == BrokerSettings(
        "localhost",
        8883,
        tls=True,
        ca_file=str(tmp_path / "broker-ca.crt"),
        user="cavewatch",
        password_file=str(tmp_path / "mqtt-password"),
        prefix="cavewatch",
        publish=True,
    )
    assert (behind.topic, behind.every) == ("dairy/make-room", 60.0)
    assert behind.columns == ("battery", "rh")
    assert isinstance(grown, FollowSettings)
    assert grown.file == str(tmp_path / "logger/today.csv")
    assert (grown.log.delimiter, grown.log.zone, grown.every) == (";", "UTC", 300.0)
    tub = Channel("brine tub", Quantity.TEMPERATURE)
    damp = Channel("lower cave", Quantity.HUMIDITY)
    assert config.tunings[damp] == Tuning(
        2.0, 1800.0, 600.0, 75.0, 99.0, 300.0, rate=10.0, drift=True, forecast=False, latching=False
    )
    assert config.tunings[tub].high_high == pytest.approx(20.0)
    assert config.tunings[tub].on_delay == 1800.0
    said = config.alarm_texts["humidity low"]
    assert said.causes == "the humidifier by the north wall is empty again"
    assert said.respond == 7200.0
    assert said.wheels["gouda"] == "the coat cracks and mould gets in"
    assert said.wheels["alpine"] == shipped()["humidity low"].wheels["alpine"]


def test_reading_the_example_loads_neither_pint_nor_numpy() -> None:
    program = (
        "import sys; from pathlib import Path; from cavewatch.config import load\n"
        f"load(Path({str(EXAMPLE)!r})); print({{'pint', 'numpy', 'textual'}} & set(sys.modules))"
    )
    out = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert out.stdout.strip() == "set()"
