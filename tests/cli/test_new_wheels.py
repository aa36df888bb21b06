"""New wheels, their own temperature, and what status says of them."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from cavewatch import clock
from cavewatch.cli import main
from cavewatch.cli.live import words_with
from cavewatch.config import load
from cavewatch.core.journal import BrineMeasured, Made
from cavewatch.recorder import Recorder
from cavewatch.store import Store

Call = Callable[..., Result]


@pytest.fixture
def config(tmp_path: Path) -> Path:
    path = tmp_path / "d.toml"
    path.write_text(
        '[dairy]\nname = "Test"\nzone = "UTC"\ninitials = "TT"\n[store]\npath = "d.sqlite"\n'
        '[[place]]\nname = "tub"\nkind = "tub"\n'
        '[place.brine]\nstrength = 20\ntemperature = 12\nvolume = "60 L"\n'
    )
    return path


@pytest.fixture
def call(config: Path) -> Call:
    def run(*words: str) -> Result:
        return CliRunner().invoke(main, ["--config", str(config), *words])

    return run


def record(config: Path) -> None:
    """One look of a recorder."""
    read = load(config)
    store = Store.open(read.store_path)
    try:
        Recorder(store, [], clock.now, read.places, {}, read.styles, words_with(read), {}).step()
    finally:
        store.close()


def test_a_wheel_is_entered_with_its_own_temperature(call: Call, tmp_path: Path) -> None:
    made = call("wheel", "new", "gouda", "--place", "tub", "--temperature", "86 degF")
    assert made.exit_code == 0, made.output
    store = Store.open(tmp_path / "d.sqlite")
    (entry,) = store.entries()
    store.close()
    assert isinstance(entry.act, Made)
    assert entry.act.temperature == pytest.approx(30.0)


def test_when_it_was_made_counts_from_now_or_by_the_clock_as_it_was_typed(
    call: Call, tmp_path: Path
) -> None:
    times = ("--made", "5 h ago", "--renneted", "2026-03-01 16:30")
    made = call("wheel", "new", "gouda", "--place", "tub", *times)
    assert made.exit_code == 0, made.output
    store = Store.open(tmp_path / "d.sqlite")
    (entry,) = store.entries()
    store.close()
    assert isinstance(entry.act, Made)
    assert (entry.act.made_ago, entry.act.renneted_ago, entry.act.moulded_ago) == (
        True,
        False,
        False,
    )


@pytest.mark.parametrize(("typed", "said"), [("30", "has no unit"), ("80 degC", "0 to 45 degC")])
def test_a_slip_in_the_temperature_is_one_sentence(call: Call, typed: str, said: str) -> None:
    found = call("wheel", "new", "gouda", "--place", "tub", "--temperature", typed)
    assert found.exit_code == 1
    assert said in found.output
    assert "Traceback" not in found.output


def test_status_tells_a_shift_and_its_reason(call: Call, config: Path, tmp_path: Path) -> None:
    call("wheel", "new", "gouda", "--count", "2", "--place", "tub", "--at", "2 h ago")
    call("wheel", "salt", "1-2", "--grams", "20 g", "--at", "2 h ago")
    record(config)
    assert "than planned" not in call("status").output
    store = Store.open(tmp_path / "d.sqlite")
    store.append(clock.now(), clock.now(), "TT", BrineMeasured("tub", 17.5))
    store.close()
    record(config)
    told = call("status").output
    assert "wheels 1, 2: lift" in told
    assert "later than planned: brine 17." in told
    tasks = json.loads(call("status", "--json").output)["tasks"]
    told = {task["action"]: task["shift"] for task in tasks}
    assert "later than planned" in told.pop("lift")
    assert "later than planned" in told["turn"]
    assert told["test"] == ""
