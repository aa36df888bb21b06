"""`cavewatch status`: one screen of text, a line, JSON, and an exit status for scripts."""

import dataclasses
import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from cavewatch import clock
from cavewatch.cli import main
from cavewatch.cli.status.verdict import Verdict, verdict
from cavewatch.core.alarms.alarm import Alarm, Explanation, Priority, Transition
from cavewatch.core.alarms.table import State, Trigger
from cavewatch.core.countdown import Action, Countdown, Span, Step
from cavewatch.core.dairy import picture
from cavewatch.core.journal import Against, Made, SensorChecked
from cavewatch.core.reading import Channel, Reading
from cavewatch.core.shape import Cylinder
from cavewatch.core.style import Method
from cavewatch.store import RecorderLock, Store

CONFIG = """
[dairy]
name = "Test Dairy"
zone = "UTC"
[store]
path = "d.sqlite"
[clock]
always_right = true
[[place]]
name = "cave"
kind = "cave"
temperature = [10, 14]
humidity = [85, 95]
[[place]]
name = "tub"
kind = "tub"
[place.brine]
strength = 20
temperature = 12
[[sensor]]
name = "board"
port = "/dev/absent"
[sensor.fields]
T = "cave.temperature"
H = "cave.humidity"
"""

Call = Callable[..., Result]


@pytest.fixture
def config(tmp_path: Path) -> Path:
    path = tmp_path / "d.toml"
    path.write_text(CONFIG)
    return path


@pytest.fixture
def call(config: Path) -> Call:
    def run(*words: str, columns: int = 80) -> Result:
        # A terminal's own width would come before: the variable counts for any of them.
        return CliRunner(env={"COLUMNS": str(columns)}).invoke(
            main, ["--config", str(config), *words]
        )

    return run


@pytest.fixture
def store(config: Path) -> Iterator[Store]:
    with closing(Store.open(config.with_name("d.sqlite"))) as store:
        yield store


@pytest.fixture
def recorder(store: Store, config: Path) -> Iterator[RecorderLock]:
    """Stands in for a recorder at work, whose sensor has just sent a reading."""
    lock = RecorderLock(config.with_name("d.sqlite"))
    assert lock.acquire()
    for name, value in (("cave.temperature", 12.3), ("cave.humidity", 88.0)):
        store.add_readings([Reading(Channel.named(name), clock.now() - 5, value)])
    yield lock
    lock.release()


def raised(store: Store, state: State, what: str = "cave is too dry: 80 %, at least 85 %") -> None:
    told = Explanation(what, "door open", "rinds crack", "shut the door. Fill the tray", 2.0)
    at = clock.now() - 600
    alarm = Alarm(f"{what} {state}", state, Priority.MEDIUM, at, told)
    store.add_transitions([Transition(at, State.NORM, Trigger.ABNORMAL, alarm)])


def due(store: Store, within: float, shift: str = "") -> None:
    """A wheel in the tub that is to be turned after so many seconds."""
    at = clock.now()
    made = Made(
        wheels=(1,),
        style="gouda",
        weight=2300.0,
        shape=Cylinder(18.0, 9.0),
        method=Method.BRINE,
        place="tub",
    )
    entry = store.append(at - 7200, at, "TT", made)
    steps = tuple(
        Step(action, Span(then, then, then))
        for action, then in ((Action.TURN, at + within), (Action.LIFT, at + within + 86400))
    )
    span = Span(1.0, 1.0, 1.0)
    store.put_countdowns(
        [Countdown(1, entry.id, at, at - 7200, span, span, steps, "brine 20 %", shift=shift)]
    )


@pytest.mark.usefixtures("recorder")
def test_all_well_is_0_and_says_what_comes_next(call: Call, store: Store) -> None:
    due(store, 3 * 3600)
    found = call("status")
    assert found.exit_code == 0
    lines = found.output.splitlines()
    assert lines[0].startswith("Test Dairy, ")
    assert lines[1] == "All is well"
    assert "  cave: 12.3 °C, 88 %" in lines
    assert any(line.endswith("  turn wheel 1 in tub") for line in lines)
    line = call("status", "--line")
    assert line.exit_code == 0
    assert line.output.startswith("Test Dairy: well: next ")
    assert line.output.count("\n") == 1


@pytest.mark.usefixtures("recorder")
@pytest.mark.parametrize("state", [State.UNACK, State.LATCHED_UNACK])
def test_an_alarm_that_waits_is_2_and_comes_first_with_what_to_do(
    call: Call, store: Store, state: State
) -> None:
    raised(store, state)
    due(store, -3600)
    found = call("status")
    assert found.exit_code == 2
    text = found.output
    assert "ALARM: 1 waits to be acknowledged" in text
    assert text.index("cave is too dry") < text.index("shut the door. Fill the tray")
    assert text.index("shut the door") < text.index("cave: 12.3 °C") < text.index("turn wheel 1")
    line = call("status", "--line").output
    assert line.startswith("Test Dairy: ALARM: cave is too dry: 80 %, at least 85 % (and 1 more)")


@pytest.mark.usefixtures("recorder")
@pytest.mark.parametrize("state", [State.ACKED, State.RTNUN, State.LATCHED_ACKED])
def test_an_alarm_that_somebody_knows_of_or_that_passed_is_1(
    call: Call, store: Store, state: State
) -> None:
    raised(store, state)
    found = call("status")
    assert found.exit_code == 1
    assert "Needs attention" in found.output
    assert call("status", "--line").output.startswith("Test Dairy: attention: cave is too dry")


@pytest.mark.usefixtures("recorder")
@pytest.mark.parametrize("state", [State.SHLVD, State.DSUPR, State.OOSRV])
def test_a_suppressed_alarm_is_named_but_calls_nobody(
    call: Call, store: Store, state: State
) -> None:
    raised(store, state)
    found = call("status")
    assert found.exit_code == 0
    assert f"{state} medium: cave is too dry" in found.output


@pytest.mark.usefixtures("recorder")
def test_work_that_is_due_is_1_and_says_how_late(call: Call, store: Store) -> None:
    due(store, -2 * 3600, shift="1 h later: the brine is colder, {9 degC}")
    found = call("status")
    assert found.exit_code == 1
    assert "late 2 h 00 min  turn wheel 1 in tub" in found.output
    assert "wheel 1: 1 h later: the brine is colder, 9.0 °C" in found.output
    assert "attention: late 2 h 00 min  turn wheel 1" in call("status", "--line").output


@pytest.mark.usefixtures("recorder")
def test_checks_of_sensors_are_counted_and_never_urgent(call: Call, store: Store) -> None:
    at = clock.now() - 200 * 86400.0
    check = SensorChecked("cave.humidity", Against.TABLE_SALT, 74.0, 1.5, 0.5, True)
    assert call("status").output.splitlines()[-1] == "Sensor checks: 2 sensors never checked"
    store.append(at, at, "TT", check)
    due(store, 3 * 3600)
    found = call("status", columns=120)
    assert found.exit_code == 0
    *_, lift, blank, said = found.output.splitlines()
    assert lift.endswith("  lift wheel 1 out of tub")
    assert blank == ""
    assert said.startswith("Sensor checks: 1 due, the first of cave.humidity since ")
    assert said.endswith("; 1 sensor never checked")
    late, never = json.loads(call("status", "--json").output)["sensor_checks"]
    assert late["channel"] == "cave.humidity"
    assert late["due"] == clock.iso(at + 180 * 86400.0, clock.zone("UTC"))
    assert never == {"channel": "cave.temperature", "due": None}
    store.append(clock.now(), clock.now(), "TT", check)
    store.append(clock.now(), clock.now(), "TT", replace(check, channel="cave.temperature"))
    assert "Sensor checks" not in call("status").output


def test_with_no_recorder_it_is_3_whatever_else_there_is(call: Call, store: Store) -> None:
    raised(store, State.UNACK)
    found = call("status")
    assert found.exit_code == 3
    assert "UNWATCHED: no recorder is running" in found.output
    assert "shut the door" in found.output
    assert call("status", "--line").output.startswith("Test Dairy: UNWATCHED: no recorder")


def test_with_every_sensor_silent_it_is_3_and_with_one_that_speaks_it_is_not(
    call: Call, store: Store, config: Path
) -> None:
    lock = RecorderLock(config.with_name("d.sqlite"))
    assert lock.acquire()
    found = call("status")
    assert found.exit_code == 3
    assert "UNWATCHED: every sensor is silent" in found.output
    store.add_readings([Reading(Channel.named("cave.temperature"), clock.now(), 12.0)])
    assert call("status").exit_code == 0
    lock.release()


@pytest.mark.usefixtures("recorder")
def test_a_quick_sensor_is_not_silent_while_its_readings_wait_for_their_commit(
    call: Call, config: Path
) -> None:
    config.write_text(
        CONFIG.replace('"d.sqlite"', '"d.sqlite"\ncommit_every = "30 s"').replace(
            'port = "/dev/absent"', 'port = "/dev/absent"\nevery = "1 s"'
        )
    )
    found = call("status")
    assert found.exit_code == 0, found.output
    assert "silent" not in found.output


def test_a_recorder_that_cannot_write_its_alarms_is_2(
    call: Call, store: Store, recorder: RecorderLock
) -> None:
    assert store.alarms() == {}
    recorder.say("the disk is full: readings wait in memory")
    found = call("status")
    assert found.exit_code == 2
    assert "ALARM: the disk is full: readings wait in memory" in found.output
    assert "the disk is full" in call("status", "--line").output


@pytest.mark.parametrize("width", [24, 40, 60, 80])
@pytest.mark.usefixtures("recorder")
def test_no_line_is_wider_than_the_terminal(call: Call, store: Store, width: int) -> None:
    raised(store, State.UNACK)
    raised(store, State.ACKED, "the temperature at cave is unwatched: nothing comes since 14:05")
    due(store, 3600, shift="1 h later: the brine is colder")
    lines = call("status", columns=width).output.splitlines()
    assert max(map(len, lines)) <= width


@pytest.mark.usefixtures("recorder")
def test_a_bad_day_still_fits_one_screen(call: Call, store: Store) -> None:
    for number in range(30):
        raised(store, State.UNACK, f"place {number} is too dry")
    found = call("status").output
    assert "ALARM: 30 wait to be acknowledged" in found
    assert "  and 26 more" in found
    assert len(found.splitlines()) <= 24


def test_a_clock_that_is_not_set_needs_attention() -> None:
    dairy = picture(0.0, (), {}, {}, (), {}, (), (), clock_sure=False)
    assert verdict(dairy, recording=True, trouble="") == (Verdict.ATTENTION, "")
    sure = dataclasses.replace(dairy, clock_sure=True)
    assert verdict(sure, recording=True, trouble="") == (Verdict.WELL, "")


@pytest.mark.usefixtures("recorder")
def test_json_tells_the_verdict_and_whether_times_are_sure(call: Call, store: Store) -> None:
    raised(store, State.UNACK)
    found = call("status", "--json")
    told = json.loads(found.output)
    assert (told["exit_status"], told["verdict"]) == (found.exit_code, "alarm") == (2, "alarm")
    assert told["clock_sure"] is True
    assert told["places"][0]["channels"][0]["value"] == 12.3
    assert told["alarms"][0]["action"] == "shut the door. Fill the tray"


def test_a_fault_of_the_config_is_3_with_its_sentences(call: Call, config: Path) -> None:
    config.write_text('[dairy]\nname = "Test"\nzone = "Mars/Olympus"\n')
    found = call("status")
    assert found.exit_code == 3
    assert "UNWATCHED: " in found.output
    assert "Mars/Olympus" in found.output
    assert call("status", "--line").output.count("\n") == 1
    told = json.loads(call("status", "--json").output)
    assert told["exit_status"] == 3
    assert "Mars/Olympus" in told["reason"]


def test_a_misspelled_option_does_not_pass_for_an_alarm(call: Call) -> None:
    found = call("status", "--lines")
    assert found.exit_code == 3
    assert "No such option" in found.output


def test_where_there_is_no_store_none_is_made(call: Call, tmp_path: Path) -> None:
    found = call("status")
    assert found.exit_code == 3
    assert "there is no store yet" in found.output
    assert [path.name for path in tmp_path.iterdir()] == ["d.toml"]


def test_a_store_of_an_older_version_is_left_as_it_is(call: Call, tmp_path: Path) -> None:
    path = tmp_path / "d.sqlite"
    Store.open(path).close()
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA user_version = 0")
    found = call("status")
    assert found.exit_code == 3
    assert "an older Cavewatch wrote this store" in found.output
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("PRAGMA user_version").fetchone() == (0,)


def test_what_is_no_store_is_told_and_left_alone(call: Call, tmp_path: Path) -> None:
    (tmp_path / "d.sqlite").write_bytes(b"milk" * 1000)
    found = call("status")
    assert found.exit_code == 3
    assert "Traceback" not in found.output
    assert (tmp_path / "d.sqlite").read_bytes() == b"milk" * 1000


@pytest.mark.usefixtures("recorder")
def test_a_terminal_without_these_signs_gets_others(config: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "cavewatch", "--config", str(config), "status"],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
    )
    assert done.returncode == 0
    assert b"cave: 12.3 C, 88 %" in done.stdout
    assert done.stderr == b""


def test_without_a_terminal_the_program_itself_prints_the_status(call: Call, store: Store) -> None:
    raised(store, State.UNACK)
    found = call()
    assert found.exit_code == 3
    assert found.output == call("status").output


def test_neither_screens_nor_solver_nor_units_are_loaded(config: Path, store: Store) -> None:
    due(store, 3600)
    code = (
        "import sys\n"
        "from cavewatch.cli import main\n"
        f"sys.argv = ['cavewatch', '--config', {str(config)!r}, 'status']\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "heavy = ('numpy', 'pint', 'textual', 'rich', 'asyncio', 'serial', 'sqlite_utils')\n"
        "print('loaded:', *(name for name in heavy if name in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "loaded:"
    assert "turn wheel 1 in tub" in done.stdout
