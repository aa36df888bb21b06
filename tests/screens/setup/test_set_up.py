"""The guided set-up, on a machine that is only played: every answer path, by key and by mouse."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest
from textual.pilot import Pilot

from cavewatch.cli.first_config import config_text
from cavewatch.config import Config, parse
from cavewatch.core.errors import CavewatchError
from cavewatch.core.place import PlaceKind
from cavewatch.core.reading import Quantity
from cavewatch.core.sensor import LineFormat, PortSettings, Unit
from cavewatch.screens.setup.answers import Answers, PortHeard, ValueHeard
from cavewatch.screens.setup.app import SetUpApp
from cavewatch.units import System

PORT = "/dev/serial/by-id/usb-probe"
SPEAKING = PortHeard(
    PORT,
    "USB serial",
    9600,
    lines=(("T=54.1F RH=88.1", "pairs: T = 54.1F, RH = 88.1"),),
    data=16,
    format=LineFormat.PAIRS,
    every=10,
    values=(
        ValueHeard("T", "54.1 F", Unit.FAHRENHEIT),
        ValueHeard("RH", "88.1", Unit.PERCENT),
        ValueHeard("batt", "3.1", None),
    ),
)
SILENT = PortHeard("/dev/ttyS0", "n/a", 9600)
STYLES = ("gouda", "edam")


class FakeMachine:
    """A machine whose disk is a list and whose ports say what a test wants."""

    path = "/home/maker/.config/cavewatch/config.toml"
    zone = "Europe/Dublin"

    def __init__(self, styles: dict, ports: list[PortHeard]) -> None:  # type: ignore[type-arg]
        self.styles = styles
        self.ports = ports
        self.written: list[str] = []
        self.refusal = ""

    def heard(self) -> list[PortHeard]:
        return self.ports

    def release(self) -> None:
        pass

    def config(self, answers: Answers) -> str:
        text = config_text(answers)
        parse(text, Path(self.path))
        return text

    def write(self, text: str) -> None:
        if self.refusal:
            raise CavewatchError(self.refusal)
        self.written.append(text)

    @property
    def read(self) -> Config:
        """The config as the program reads it."""
        (text,) = self.written
        return parse(text, Path(self.path))


@pytest.fixture
def machine(style):  # type: ignore[no-untyped-def]
    names = {"gouda": "Gouda", "edam": "Edam", "tilsit": "Tilsit"}
    return FakeMachine({id: replace(style, id=id, name=name) for id, name in names.items()}, [])


@asynccontextmanager
async def set_up(
    machine: FakeMachine, width: int = 80, height: int = 24
) -> AsyncIterator[Pilot[bool]]:
    app = SetUpApp(machine, ascii_only=False)
    async with app.run_test(size=(width, height)) as pilot:
        await pilot.pause()
        yield pilot


async def type_in(pilot: Pilot[bool], text: str) -> None:
    await pilot.press(*("space" if c == " " else c for c in text))


async def until_places(pilot: Pilot[bool]) -> None:
    await type_in(pilot, "Hillside")
    await pilot.press("ctrl+s")
    await pilot.pause()
    await pilot.press("ctrl+s")
    await pilot.pause()


async def add(pilot: Pilot[bool], kind: PlaceKind) -> None:
    """Add a place of this kind as it is proposed."""
    pilot.app.screen.query_one("#list").go_to(f"new {kind.value}")  # type: ignore[attr-defined]
    await pilot.press("enter")
    await pilot.pause()
    await pilot.press("ctrl+s")
    await pilot.pause()


def seen(scene: SimpleNamespace, pilot: Pilot[bool]) -> str:
    return "\n".join(scene.shown(pilot.app))


async def test_the_shortest_way_is_a_name_and_a_place(
    scene: SimpleNamespace, machine: FakeMachine
) -> None:
    async with set_up(machine) as pilot:
        assert "time zone      Europe/Dublin" in seen(scene, pilot)
        await until_places(pilot)
        await add(pilot, PlaceKind.CAVE)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "No serial port is found. Go on without" in seen(scene, pilot)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert machine.path in seen(scene, pilot)
        assert machine.written == []
        await pilot.press("ctrl+s")
        await pilot.pause()
    assert pilot.app.return_value is True
    config = machine.read
    assert (config.name, config.zone, config.initials) == ("Hillside", "Europe/Dublin", "")
    assert [place.name for place in config.places] == ["cave"]
    assert config.sensors == ()


async def answer_all(scene: SimpleNamespace, machine: FakeMachine) -> None:
    """Every field, list and port, by keys and by clicks."""
    async with set_up(machine) as pilot:
        await type_in(pilot, 'Up "the" hill')
        await pilot.press("tab", "down", "down", "enter", "tab")
        await type_in(pilot, "America/New_York")
        await pilot.press("tab")
        await type_in(pilot, "MK")
        await pilot.press("enter")
        await pilot.pause()
        # Styles: one by key, one by mouse, a third marked and taken back.
        await pilot.press("space", "down", "space", "space")
        await scene.click(pilot, "Tilsit")
        await pilot.press("ctrl+s")
        await pilot.pause()
        # A cave with its ranges, and a tub.
        await scene.click(pilot, "where cheese ripens")
        await pilot.press("tab")
        await type_in(pilot, "50-57")
        await pilot.press("tab")
        await type_in(pilot, "85 to 95")
        await pilot.pause()
        assert "= 50.0 °F to 57.0 °F" in seen(scene, pilot)
        await pilot.press("enter")
        await pilot.pause()
        await scene.click(pilot, "holds brine")
        await pilot.press("tab")
        await type_in(pilot, "19 Be")
        await pilot.press("tab")
        await type_in(pilot, "16")
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        found = seen(scene, pilot)
        assert "T=54.1F RH=88.1" in found
        assert "pairs: T = 54.1F, RH = 88.1" in found
        assert "nothing came yet" in found
        await scene.click(pilot, PORT)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "sensor: T is cave.temperature, RH is cave.humidity" in seen(scene, pilot)
        await scene.click(pilot, "Next")
        await scene.click(pilot, "Write it")


async def test_everything_that_can_be_answered_stands_in_the_config(
    scene: SimpleNamespace, machine: FakeMachine
) -> None:
    machine.ports = [SILENT, SPEAKING]
    await answer_all(scene, machine)
    config = machine.read
    assert (config.name, config.zone) == ('Up "the" hill', "America/New_York")
    assert (config.units, config.initials) == (System.US, "MK")
    assert {id for id, each in config.styles.items() if each.made_here} == {"edam", "tilsit"}
    cave, tub = config.places
    assert cave.own[Quantity.TEMPERATURE].low == pytest.approx(10.0)
    assert cave.own[Quantity.HUMIDITY].high == 95.0
    assert tub.brine is not None
    assert tub.brine.litres == pytest.approx(60.6, abs=0.1)
    (sensor,) = config.sensors
    assert isinstance(sensor, PortSettings)
    assert (sensor.port, sensor.baud, sensor.every) == (PORT, 9600, 10.0)
    assert {name: (str(f.channel), f.unit) for name, f in sensor.fields.items()} == {
        "T": ("cave.temperature", Unit.FAHRENHEIT),
        "RH": ("cave.humidity", Unit.PERCENT),
    }
    assert '#batt = "PLACE.temperature"' in machine.written[0]
    assert "cavewatch check --listen /dev/ttyS0" in machine.written[0]


@pytest.mark.parametrize("kind", PlaceKind)
async def test_each_kind_of_place_can_be_added_as_proposed(
    machine: FakeMachine, kind: PlaceKind
) -> None:
    async with set_up(machine) as pilot:
        await until_places(pilot)
        await add(pilot, kind)
        await add(pilot, kind)
        await pilot.press("ctrl+s", "ctrl+s", "ctrl+s")
        await pilot.pause()
    assert [place.kind for place in machine.read.places] == [kind, kind]


async def test_a_place_can_be_renamed_and_taken_out_and_its_sensor_follows(
    scene: SimpleNamespace, machine: FakeMachine
) -> None:
    machine.ports = [SPEAKING]
    async with set_up(machine) as pilot:
        await until_places(pilot)
        await add(pilot, PlaceKind.CAVE)
        await add(pilot, PlaceKind.RACK)
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        await scene.click(pilot, "  cave   ")
        await pilot.press("end", "2", "ctrl+s")
        await pilot.pause()
        assert {c for s in pilot.app.answers.sensors for c, _ in s.feeds.values()} == {  # type: ignore[attr-defined]
            "cave2.temperature",
            "cave2.humidity",
        }
        await pilot.press("delete")
        await pilot.pause()
        assert [p.name for p in pilot.app.answers.places] == ["drying rack"]  # type: ignore[attr-defined]
        assert pilot.app.answers.sensors == ()  # type: ignore[attr-defined]


async def test_what_is_missing_or_impossible_is_said_and_nothing_goes_on(
    scene: SimpleNamespace, machine: FakeMachine
) -> None:
    async with set_up(machine) as pilot:
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "name: still to be filled in" in seen(scene, pilot)
        await until_places(pilot)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "one place is needed at least" in seen(scene, pilot)
        await pilot.press("enter", "tab")
        await type_in(pilot, "14-10")
        await pilot.pause()
        assert "is not below" in seen(scene, pilot)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert pilot.app.answers.places == ()  # type: ignore[attr-defined]


async def test_two_places_cannot_have_one_name(
    scene: SimpleNamespace, machine: FakeMachine
) -> None:
    async with set_up(machine) as pilot:
        await until_places(pilot)
        await add(pilot, PlaceKind.CAVE)
        await scene.click(pilot, "where cheese ripens")
        await pilot.press("end", "backspace", "backspace")
        await pilot.pause()
        assert "there is a place 'cave'" in seen(scene, pilot)


@pytest.mark.parametrize("steps", range(5))
async def test_escape_leads_back_and_out_and_leaves_nothing(
    machine: FakeMachine, steps: int
) -> None:
    async with set_up(machine) as pilot:
        if steps:
            await until_places(pilot)
            await add(pilot, PlaceKind.CAVE)
        for _ in range(steps - 2):
            await pilot.press("ctrl+s")
            await pilot.pause()
        for _ in range(5):
            await pilot.press("escape")
            await pilot.pause()
    assert pilot.app.return_value is False
    assert machine.written == []


async def test_answers_are_still_there_after_going_back(
    scene: SimpleNamespace, machine: FakeMachine
) -> None:
    async with set_up(machine) as pilot:
        await until_places(pilot)
        await add(pilot, PlaceKind.CAVE)
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert "Hillside" in seen(scene, pilot)
        await pilot.press("ctrl+s", "ctrl+s")
        await pilot.pause()
        assert "cave                      cave" in seen(scene, pilot)


async def test_a_config_that_cannot_be_written_is_said_and_the_answers_stay(
    scene: SimpleNamespace, machine: FakeMachine
) -> None:
    machine.refusal = "the disk is full"
    async with set_up(machine) as pilot:
        await until_places(pilot)
        await add(pilot, PlaceKind.CAVE)
        await pilot.press("ctrl+s", "ctrl+s", "ctrl+s")
        await pilot.pause()
        assert "the disk is full" in seen(scene, pilot)
        machine.refusal = ""
        await pilot.press("ctrl+s")
        await pilot.pause()
    assert machine.read.name == "Hillside"


async def test_lines_of_a_port_appear_as_they_come_and_do_no_harm(
    scene: SimpleNamespace, machine: FakeMachine
) -> None:
    machine.ports = [SILENT]
    async with set_up(machine) as pilot:
        await until_places(pilot)
        await add(pilot, PlaceKind.CAVE)
        await pilot.press("ctrl+s")
        await pilot.pause()
        evil = replace(
            SPEAKING, lines=(("\x1b[2J[red]x" * 50, "\x1b]0;x\x07"),), description="\x1b[31mred"
        )
        machine.ports = [evil]
        pilot.app.screen.draw()  # type: ignore[attr-defined]
        await pilot.pause()
        found = seen(scene, pilot)
        assert "[2J[red]x" in found
        assert "\x1b" not in found
        assert "not used yet; enter says where it hangs" in found


async def test_it_fits_a_phone(scene: SimpleNamespace, machine: FakeMachine) -> None:
    machine.ports = [SPEAKING]
    async with set_up(machine, 40, 20) as pilot:
        for _ in range(2):
            assert "(ctrl+s)" in scene.shown(pilot.app)[-1]
            await until_places(pilot)
        await add(pilot, PlaceKind.TUB)
        await add(pilot, PlaceKind.CAVE)
        for _ in range(3):
            rows = scene.shown(pilot.app)
            assert "(ctrl+s)" in rows[-1]
            assert "(esc)" in rows[-1]
            assert all(len(row) <= 40 for row in rows)
            await pilot.press("ctrl+s")
            await pilot.pause()
    assert [place.name for place in machine.read.places] == ["brine tub", "cave"]
