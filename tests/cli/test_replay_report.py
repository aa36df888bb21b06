"""`cavewatch replay --report`: text, JSON, and two runs side by side."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from cavewatch.cli.root import main
from demo.days import march

CONFIG = """
[dairy]
name = "Tests"
zone = "Europe/Dublin"

[[place]]
name = "near cave"
kind = "cave"
temperature = [10, 14]

[log]
every = "60 s"
"""


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """Six hours of a cave that is too warm from the second to the third."""
    path = tmp_path / "near.csv"
    rows = [(march(2, 0) + 60.0 * n, 14.5 if 60 <= n < 120 else 13.5) for n in range(361)]
    lines = ["time,near cave.temperature", *(f"{at:.0f},{value}" for at, value in rows)]
    path.write_text("\n".join(lines) + "\n", encoding="ascii")
    path.with_suffix(".toml").write_text(CONFIG, encoding="ascii")
    return path


def run(log: Path, *more: str) -> Result:
    return CliRunner().invoke(main, ["replay", str(log), *more])


def cells(result: Result, label: str) -> list[str]:
    """The columns of the first line with this label."""
    line = next(line for line in result.output.splitlines() if line.strip().startswith(label))
    return [cell.strip() for cell in line.strip().removeprefix(label).split("  ") if cell.strip()]


def test_it_prints_figures_of_channels_and_alarms_with_no_screen(log: Path) -> None:
    result = run(log, "--report")
    assert result.exit_code == 0, result.output
    assert cells(result, "mean") == ["13.7 °C"]
    assert cells(result, "in range") == ["83.3 %"]
    assert cells(result, "longest excursion") == ["1 h 00 min above"]
    assert cells(result, "raised")[0] == "1"
    assert cells(result, "near cave.temperature high") == ["1 ×"]


def test_a_channel_without_a_range_is_not_said_to_be_in_it(log: Path) -> None:
    log.with_suffix(".toml").unlink()
    result = run(log, "--report")
    assert cells(result, "in range") == ["nobody sets a range"]
    assert "above" not in result.output


def test_json_holds_the_same_with_times_and_transitions(log: Path) -> None:
    found = json.loads(run(log, "--report", "--json").stdout)
    assert found["changed"] == []
    (channel,) = found["as it is"]["channels"]
    assert (channel["channel"], channel["above"], channel["high"]) == (
        "near cave.temperature",
        3600.0,
        14.5,
    )
    assert found["as it is"]["alarms"]["raised"] == {"near cave.temperature high": 1}
    assert found["as it is"]["transitions"][0]["at"] == "2026-03-02T01:10:00+00:00"


@pytest.mark.parametrize(
    "change",
    [
        'tuning."near cave.temperature".on_delay=90 min',
        'tuning."near cave.temperature".on_delay = "90 min"',
        'place."near cave".temperature=[10, 16]',
    ],
)
def test_what_if_shows_both_side_by_side(log: Path, change: str) -> None:
    result = run(log, "--report", "--what-if", change)
    assert result.exit_code == 0, result.output
    assert cells(result, "raised")[:2] == ["1", "0"]
    assert f"what if: {change}" in result.output


def test_several_changes_count_together(log: Path) -> None:
    changes = ['place."near cave".temperature=[10, 16]', 'place."near cave".kind=room']
    options = [part for change in changes for part in ("--what-if", change)]
    found = json.loads(run(log, "--report", "--json", *options).stdout)
    assert found["changed"] == changes
    assert found["what if"]["alarms"]["total"] == 0


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ("nonsense", "write 'tuning."),
        ('place."nearer cave".temperature=[10, 16]', "did you mean 'near cave'?"),
        ("style.gouda=goda", "did you mean 'gouda'?"),
        ('place."near cave".temperature=[16, 10]', "temperature"),
        ("dairy.name=\x1b[2J", "name"),
    ],
)
def test_a_change_that_cannot_be_is_said_in_a_sentence(log: Path, change: str, word: str) -> None:
    result = run(log, "--report", "--what-if", change)
    assert result.exit_code == 1
    assert word in result.output
    assert "Traceback" not in result.output
    assert "\x1b" not in result.output


@pytest.mark.parametrize("option", [["--json"], ["--what-if", "dairy.name=x"]])
def test_the_options_of_the_report_want_a_report(log: Path, option: list[str]) -> None:
    result = run(log, *option)
    assert result.exit_code == 2
    assert "--report" in result.output


def test_a_log_without_config_has_a_report_and_no_what_if(log: Path) -> None:
    log.with_suffix(".toml").unlink()
    assert run(log, "--report").exit_code == 0
    result = run(log, "--report", "--what-if", "dairy.name=x")
    assert result.exit_code == 1
    assert "near.toml" in result.output


def test_a_log_without_readings_is_said_in_a_sentence(log: Path) -> None:
    log.write_text("time,near cave.temperature\n", encoding="ascii")
    result = run(log, "--report")
    assert result.exit_code == 1
    assert "holds no reading" in result.output
