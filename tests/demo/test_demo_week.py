"""The demo's files are what its script makes, and hold what the scenario promises."""

from pathlib import Path

from demo import week

DEMO = Path(week.__file__).parent


def test_the_simulation_gives_the_same_bytes_everywhere() -> None:
    assert (DEMO / "week.csv").read_bytes() == week.log().encode("ascii")
    assert (DEMO / "week.journal.jsonl").read_bytes() == week.journal().encode("ascii")


def test_a_row_every_half_minute_and_a_probe_out_for_an_hour() -> None:
    rows = [line.split(",") for line in (DEMO / "week.csv").read_text().splitlines()[1:]]
    assert len(rows) == 7 * 24 * 120
    column = 1 + week.TITLES.index("tub.temperature")
    assert sum(row[column] == "" for row in rows) == 120


def test_the_scenario_is_marked_as_invented() -> None:
    assert "invented" in (DEMO / "week.toml").read_text()
    assert "invented" in (week.__doc__ or "")
