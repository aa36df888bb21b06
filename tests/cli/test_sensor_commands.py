"""`cavewatch sensor`: listing, checking, marking as tested."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from cavewatch import clock
from cavewatch.cli import main
from cavewatch.core import journal
from cavewatch.core.journal import SensorChecked
from cavewatch.core.reading import Channel, Quantity, Reading
from cavewatch.store import Store

CONFIG = """
[dairy]
name = "Test"
zone = "UTC"
initials = "TT"
[store]
path = "d.sqlite"
[[place]]
name = "cave"
kind = "cave"
[[sensor]]
name = "probe"
port = "/dev/none"
[sensor.fields]
T = "cave.temperature"
H = "cave.humidity"
"""
DAMP, WARMTH = (Channel("cave", q) for q in (Quantity.HUMIDITY, Quantity.TEMPERATURE))


@pytest.fixture
def run(tmp_path: Path):  # type: ignore[no-untyped-def]
    (tmp_path / "d.toml").write_text(CONFIG)

    def run(*words: str) -> Result:
        return CliRunner().invoke(main, ["--config", str(tmp_path / "d.toml"), "sensor", *words])

    return run


def heard(folder: Path, damp: float = 74.0, warmth: float = 12.0) -> None:
    """The last 40 minutes, steady."""
    now = clock.now()
    store = Store.open(folder / "d.sqlite")
    store.add_readings(
        Reading(channel, now - 30.0 * n, value)
        for channel, value in ((DAMP, damp), (WARMTH, warmth))
        for n in range(80)
    )
    store.close()


def acts(folder: Path) -> list[object]:
    store = Store.open(folder / "d.sqlite")
    try:
        return [entry.act for entry in store.entries()]
    finally:
        store.close()


def salt(*more: str) -> tuple[str, ...]:
    return ("check", "salt", "cave.humidity", "--since", "35 min ago", "--once", *more)


def test_a_steady_sensor_over_table_salt_is_kept_with_its_offset(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    heard(tmp_path)
    found = run(*salt())
    assert found.exit_code == 0, found.output
    assert "table salt at 12.0 °C gives 75.7 %" in found.output
    assert "reads 1.7 % low, corrected" in found.output
    assert "potassium chloride (near 86.4 %)" in found.output
    kept = acts(tmp_path)[-1]
    assert isinstance(kept, SensorChecked)
    assert kept.offset == pytest.approx(1.66, abs=0.01)
    assert kept.temperature == 12.0
    store = Store.open(tmp_path / "d.sqlite")
    store.add_readings([Reading(DAMP, clock.now() + 2.0, 90.0)])
    store.close()
    listed = run("list").output
    assert "cave.humidity: 91.7 %" in listed
    assert "checked less than a day ago" in listed


def test_the_place_counts_as_tested_during_a_check(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    heard(tmp_path)
    run(*salt())
    tested = [act.channel for act in acts(tmp_path) if isinstance(act, journal.Testing)]
    assert tested == ["cave.humidity", "cave.temperature"]
    assert run("testing", "cave.humidity", "cave.temperature", "--done").exit_code == 0
    plain = json.loads(run("list", "--json").output)
    assert [each["being_tested"] for each in plain] == [False, False]


def test_a_check_goes_on_where_it_was_left(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    heard(tmp_path)
    assert run("testing", "cave.humidity", "--for", "2 h", "--at", "30 min ago").exit_code == 0
    found = run("check", "salt", "cave.humidity", "--temperature", "12 degC", "--once")
    assert "low, corrected" in found.output
    assert sum(isinstance(act, journal.Testing) for act in acts(tmp_path)) == 1


def test_a_sensor_just_put_into_the_jar_is_waited_for(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    heard(tmp_path)
    found = run("check", "salt", "cave.humidity", "--since", "5 min ago", "--once")
    assert "it needs more time in there" in found.output
    assert not any(isinstance(act, SensorChecked) for act in acts(tmp_path))


def test_the_ice_point(run, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    heard(tmp_path, warmth=0.4)
    found = run("check", "ice", "cave.temperature", "--since", "20 min ago", "--once")
    assert "in ice it reads 0.4 °C high, corrected" in found.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (salt(), "too far off for a check against table salt"),
        (("check", "salt", "cave.temperature", "--once"), "write PLACE.humidity"),
        (("check", "ice", "cave.humidity", "--once"), "write PLACE.temperature"),
        (("check", "ice", "attic.temperature", "--once"), "write one of 'cave.temperature'"),
        (("check", "ice", "cave.temperature"), "no recorder is running"),
        (("testing", "cave.humidity"), "--for"),
        (("testing", "cave.humidity", "--for", "long"), "long"),
        (salt("--temperature", "60 degC"), "from 0 to 40"),
    ],
)
def test_a_slip_is_one_sentence(run, tmp_path: Path, words, said) -> None:  # type: ignore[no-untyped-def]
    heard(tmp_path, damp=92.0)
    found = run(*words)
    assert found.exit_code == 1
    assert said in found.output
    assert "Traceback" not in found.output
    assert not any(isinstance(act, SensorChecked) for act in acts(tmp_path))
