"""An invented dairy with a store to export from, in a zone whose clock changes."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from cavewatch.cli.root import main
from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.journal import (
    Acidity,
    Acknowledged,
    Against,
    Corrected,
    Lifted,
    Made,
    Milk,
    Moved,
    Noted,
    Sample,
    SensorChecked,
    Shelved,
    Tended,
    Treatment,
    Voided,
    Weighed,
)
from cavewatch.core.journal import BrineWork as Work
from cavewatch.core.reading import Channel, Quantity, Reading, SignalStatus
from cavewatch.core.style import Method
from cavewatch.store import Store

CONFIG = """
[dairy]
name = "Invented & Sons"
zone = "Europe/Dublin"
initials = "MK"
[store]
path = "dairy.sqlite"
[[place]]
name = "cave"
kind = "cave"
temperature = [10, 14]
humidity = [80, 92]
[[place]]
name = "tub"
kind = "tub"
[place.brine]
strength = "20 %"
volume = "100 L"
temperature = "12 degC"
[log]
every = "5 min"
[log.fields]
t = "cave.temperature"
rh = "cave.humidity"
"""

HOSTILE = "=cmd|' /C calc'!A0;=1+1<script>alert(1)</script>\"&"


def at(text: str) -> float:
    """A time in UTC."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp()


BEGIN = at("2026-03-23 00:00")
"""A Monday; summer time begins on the Sunday after it."""
STEP = 300
TEMPERATURE = Channel("cave", Quantity.TEMPERATURE)
HUMIDITY = Channel("cave", Quantity.HUMIDITY)


def readings() -> Iterator[Reading]:
    """A week and a half, with a gap on Wednesday and a sensor that fails once."""
    for number in range(10 * 86_400 // STEP):
        when = BEGIN + number * STEP
        if at("2026-03-25 10:00") <= when < at("2026-03-25 13:00"):
            continue
        failed = when == at("2026-03-24 06:00")
        status = SignalStatus.FAILURE if failed else SignalStatus.GOOD
        yield Reading(TEMPERATURE, when, None if failed else 12.0 + number % 7 / 10, status)
        yield Reading(HUMIDITY, when, 88.0 + number % 5)


def happened(store: Store) -> None:
    """What the maker did: one make, a slip that is struck, an alarm that is dealt with."""
    made = at("2026-03-20 09:00")
    wheels = (1, 2)
    for when, by, act in (
        (made, "MK", Milk(Treatment.RAW, lot="M-1", source="own herd", litres=50.0)),
        (made + 3600, "MK", Acidity(6.45, Sample.MILK, lot="M-1")),
        (made + 7200, "MK", Made(wheels, "gouda", Method.BRINE, 2400.0, "tub", lot="M-1")),
        (made + 90_000, "AB", Lifted(wheels, "cave")),
        (at("2026-03-23 08:00"), "MK", Weighed((1,), 2350.0)),
        (at("2026-03-23 08:05"), "MK", Weighed((1,), 2530.0)),
        (at("2026-03-23 08:10"), "AB", Voided(6, "figures swapped")),
        (at("2026-03-26 08:00"), "MK", Weighed((1,), 2330.0)),
        (at("2026-03-24 12:00"), "MK", Noted(HOSTILE, (2,))),
        (at("2026-03-24 11:00"), "AB", Acknowledged("cave.temperature high")),
        (at("2026-03-24 14:00"), "AB", Corrected("cave.temperature high", "wheels held", "fan")),
        (
            at("2026-03-24 15:00"),
            "AB",
            Shelved("cave.humidity low", at("2026-03-24 17:00"), "door"),
        ),
        (
            at("2026-03-27 09:00"),
            "MK",
            SensorChecked("cave.humidity", Against.TABLE_SALT, 74.0, 1.3, 0.8, True, 12.0),
        ),
        (at("2026-03-27 10:00"), "MK", Tended("tub", Work.FILTERED)),
        (at("2026-03-28 10:00"), "MK", Moved((2,), "tub")),
    ):
        store.append(when, when + 30.25, by, act)


def alarms() -> Iterator[Transition]:
    """One that came and went, and one that stands."""
    for key, since, steps in (
        ("cave.temperature high", "2026-03-24 10:00", ((State.UNACK, 0), (State.NORM, 9000))),
        ("cave.humidity low", "2026-03-31 10:00", ((State.UNACK, 0),)),
    ):
        for state, after in steps:
            yield Transition(
                at(since) + after,
                State.NORM,
                Trigger.ABNORMAL if state is State.UNACK else Trigger.NORMAL,
                Alarm(
                    key,
                    state,
                    Priority.LOW,
                    at(since),
                    Explanation("cave is too warm: 15.2 °C, at most 14 °C", "c", "q", "a", 4.0),
                    place="cave",
                ),
            )


@pytest.fixture
def config(tmp_path: Path) -> Path:
    """The dairy's config, beside its store."""
    path = tmp_path / "my.toml"
    path.write_text(CONFIG, encoding="utf-8")
    return path


@pytest.fixture
def store(config: Path) -> Iterator[Store]:
    """The filled store."""
    opened = Store.open(config.with_name("dairy.sqlite"))
    opened.add_readings(readings())
    happened(opened)
    opened.add_transitions(alarms())
    yield opened
    opened.close()


@pytest.fixture
def export(config: Path, store: Store) -> Callable[..., Result]:  # noqa: ARG001
    """Calls `cavewatch export` with these words."""
    return lambda *words: CliRunner().invoke(main, ["--config", str(config), "export", *words])
