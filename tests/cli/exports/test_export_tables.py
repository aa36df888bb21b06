"""`cavewatch export` of readings, journal, alarms and makes as CSV and JSON lines."""

import csv
import json
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from click.testing import Result

from cavewatch.cli.exporting import files
from cavewatch.core.journal import Against, SensorChecked
from cavewatch.core.journal.columns import from_cells
from cavewatch.core.record.cells import unguarded
from cavewatch.store import Store, journal_file

Export = Callable[..., Result]


def table(path: Path) -> list[dict[str, str]]:
    """The rows of a CSV file by column, as a careful reader reads them."""
    with path.open(encoding="utf-8", newline="") as file:
        return [
            {name: unguarded(cell) for name, cell in row.items()}
            for row in csv.DictReader(file, strict=True)
        ]


def test_readings_have_raw_and_corrected_values_status_and_offset(
    export: Export, tmp_path: Path
) -> None:
    out = tmp_path / "r.csv"
    said = export("readings", "--out", str(out))
    assert (said.exit_code, said.output) == (0, f"{out}: 2,844 rows\n")
    raw = out.read_bytes()
    assert raw.startswith(
        b"time,place,temperature_degC,temperature_corrected_degC,temperature_status,"
        b"humidity_percent,humidity_corrected_percent,humidity_status,dairy\r\n"
        b"2026-03-23T00:00:00+00:00,cave,12,12,good,88,88,good,Invented & Sons\r\n"
    )
    assert raw.count(b"\r\n") == raw.count(b"\n") == 2845
    rows = {row["time"]: row for row in table(out)}
    failed = rows["2026-03-24T06:00:00+00:00"]
    assert (failed["temperature_degC"], failed["temperature_status"]) == ("", "F")
    checked = rows["2026-03-27T09:00:00+00:00"]
    assert float(checked["humidity_corrected_percent"]) == pytest.approx(
        float(checked["humidity_percent"]) + 1.3
    )
    assert "2026-03-29T02:00:00+01:00" in rows  # summer time begins


def test_an_unfit_sensor_has_no_corrected_value(
    export: Export, store: Store, tmp_path: Path
) -> None:
    when = datetime.fromisoformat("2026-03-30T00:00:00+00:00").timestamp()
    unfit = SensorChecked("cave.humidity", Against.TABLE_SALT, 50.0, 25.0, 0.8, False)
    store.append(when, when, "MK", unfit)
    out = tmp_path / "r.csv"
    export("readings", "--from", "2026-03-30 12:00", "--out", str(out))
    assert {row["humidity_corrected_percent"] for row in table(out)} == {""}
    assert "" not in {row["humidity_percent"] for row in table(out)}


def test_from_is_included_and_to_is_not(export: Export, tmp_path: Path) -> None:
    out = tmp_path / "r.csv"
    export("readings", "--from", "2026-03-24", "--to", "2026-03-24 00:10", "--out", str(out))
    assert [row["time"] for row in table(out)] == [
        "2026-03-24T00:00:00+00:00",
        "2026-03-24T00:05:00+00:00",
    ]


def test_minutes_and_hours_have_mean_lowest_and_highest(export: Export, tmp_path: Path) -> None:
    out = tmp_path / "h.jsonl"
    said = export("readings", "--every", "hour", "--format", "jsonl", "--out", str(out))
    assert said.output == f"{out}: 237 rows\n"
    first = json.loads(out.read_text(encoding="utf-8").splitlines()[0])
    assert (first["time"], first["temperature_readings"]) == ("2026-03-23T00:00:00+00:00", 12)
    assert first["temperature_low_degC"] == 12.0
    assert first["temperature_high_degC"] == 12.6
    assert first["temperature_mean_degC"] == pytest.approx(12.258, abs=0.001)


def test_one_is_told_where_single_readings_are_no_longer_kept(
    export: Export, store: Store, tmp_path: Path
) -> None:
    store.thin(datetime.fromisoformat("2026-03-24T00:00:00+00:00").timestamp(), hours=24)
    said = export("readings", "--out", str(tmp_path / "r.csv"))
    assert "single readings from before 2026-03-24T00:00:00+00:00 are no longer kept" in said.output
    said = export("readings", "--every", "minute", "--out", str(tmp_path / "m.csv"))
    assert said.output == f"{tmp_path / 'm.csv'}: 2,844 rows\n"


def test_every_entry_of_the_table_of_the_journal_comes_back(
    export: Export, store: Store, tmp_path: Path
) -> None:
    out = tmp_path / "j.csv"
    export("journal", "--out", str(out))
    rows = sorted(table(out), key=lambda row: int(row["entry"]))
    entries = store.entries()
    assert len(rows) == len(entries)

    def instant(text: str) -> float:
        return datetime.fromisoformat(text).timestamp()

    for row, entry in zip(rows, entries, strict=True):
        assert (int(row["entry"]), row["by"]) == (entry.id, entry.by)
        assert (instant(row["at"]), instant(row["written"])) == (entry.at, entry.written)
        assert from_cells(row, instant) == entry.act


def test_no_cell_begins_with_what_a_spreadsheet_calculates(export: Export, tmp_path: Path) -> None:
    out = tmp_path / "j.csv"
    export("journal", "--out", str(out))
    with out.open(encoding="utf-8", newline="") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    assert any(cell.startswith("'=cmd") for cell in cells)
    for cell in cells:
        for part in cell.split(";"):
            assert not part.strip().startswith(("=", "+", "@")), cell
            assert not part.startswith("-") or float(part) < 0


def test_a_struck_entry_stays_with_who_struck_it_and_why(export: Export, tmp_path: Path) -> None:
    out = tmp_path / "j.csv"
    export("journal", "--out", str(out))
    struck = {row["entry"]: (row["struck_by"], row["struck_why"]) for row in table(out)}
    assert struck["6"] == ("7", "figures swapped")
    assert {text for entry, text in struck.items() if entry != "6"} == {("", "")}


def test_with_every_entry_goes_the_one_that_strikes_it(
    export: Export, store: Store, tmp_path: Path
) -> None:
    out = tmp_path / "j.jsonl"
    words = ("--from", "2026-03-23 08:05", "--to", "2026-03-23 08:06", "--format", "jsonl")
    export("journal", *words, "--out", str(out))
    assert journal_file.read(out) == [store.entries()[5], store.entries()[6]]


def test_the_journal_as_json_lines_is_a_journal_file(
    export: Export, store: Store, tmp_path: Path
) -> None:
    out = tmp_path / "j.jsonl"
    export("journal", "--format", "jsonl", "--out", str(out))
    assert journal_file.read(out) == store.entries()


def test_entries_of_a_place_name_it_or_a_wheel_that_stood_there(
    export: Export, tmp_path: Path
) -> None:
    out = tmp_path / "j.csv"
    export("journal", "--place", "TUB", "--from", "2026-03-21", "--out", str(out))
    assert [row["entry"] for row in table(out)] == ["14", "15"]


def test_alarms_tell_who_saw_them_and_what_was_done(export: Export, tmp_path: Path) -> None:
    out = tmp_path / "a.csv"
    said = export("alarms", "--out", str(out))
    assert said.output == f"{out}: 2 rows\n"
    first, second = table(out)
    assert (first["from"], first["to"]) == (
        "2026-03-24T10:00:00+00:00",
        "2026-03-24T12:30:00+00:00",
    )
    assert (first["acknowledged_by"], first["product"], first["cause"]) == (
        "AB",
        "wheels held",
        "fan",
    )
    assert (second["to"], second["product"], second["acknowledged"]) == ("", "", "")
    export("alarms", "--to", "2026-03-30", "--place", "cave", "--out", str(tmp_path / "b.csv"))
    assert [row["alarm"] for row in table(tmp_path / "b.csv")] == ["cave.temperature high"]
    export("alarms", "--place", "tub", "--out", str(tmp_path / "c.csv"))
    assert table(tmp_path / "c.csv") == []


def test_makes_have_milk_weights_and_days_at_warmth(export: Export, tmp_path: Path) -> None:
    out = tmp_path / "m.csv"
    assert export("makes", "--out", str(out)).output == f"{out}: 2 wheels\n"
    first, second = table(out)
    assert (first["lot"], first["milk"], first["milk_L"], first["ph"]) == (
        "M-1",
        "raw",
        "50",
        "6.45 milk 2026-03-20T10:00:00+00:00",
    )
    assert (first["weight_to_salt_g"], first["weight_g"]) == ("2400", "2330")
    assert (first["raw_milk_days_asked"], first["raw_milk_days_too_cold"]) == ("60", "0")
    # On record are ten days but for three hours; before them it stood there unrecorded.
    assert float(first["raw_milk_days_counted"]) == pytest.approx(10 - 3 / 24, abs=0.01)
    assert float(second["raw_milk_days_counted"]) < float(first["raw_milk_days_counted"])
    export("makes", "--from", "2026-03-21", "--out", str(tmp_path / "n.csv"))
    assert table(tmp_path / "n.csv") == []


@pytest.mark.parametrize("what", ["readings", "journal", "alarms", "makes"])
@pytest.mark.parametrize("form", ["csv", "jsonl"])
def test_the_same_facts_make_the_same_bytes(
    export: Export, tmp_path: Path, what: str, form: str
) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    for out in (one, other):
        assert export(what, "--format", form, "--out", str(out)).exit_code == 0
    assert one.read_bytes() == other.read_bytes()


def test_nothing_is_overwritten(export: Export, tmp_path: Path) -> None:
    out = tmp_path / "mine"
    out.write_text("mine")
    said = export("journal", "--out", str(out))
    assert (said.exit_code, "is there already" in said.output) == (1, True)
    assert out.read_text() == "mine"


def test_ctrl_c_leaves_nothing_and_says_so(
    export: Export, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[float] = []

    def stop(part: float) -> None:
        told.append(part)
        if part > 0.2:
            raise KeyboardInterrupt

    monkeypatch.setattr("cavewatch.cli.export.progress", lambda _: stop)
    before = sorted(tmp_path.iterdir())
    said = export("readings", "--out", str(tmp_path / "r.csv"))
    assert (said.exit_code, said.output) == (
        1,
        f"Error: stopped: nothing is left of {tmp_path / 'r.csv'}\n",
    )
    assert told
    assert sorted(tmp_path.iterdir()) == before


def test_how_far_it_is_stands_on_standard_error_of_a_terminal(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    show = files.progress("written")
    for part in (0.0, 0.501, 0.502, 1.0):
        show(part)
    said = capsys.readouterr()
    assert (said.out, said.err) == ("", "\r  0% written\r 50% written\r100% written\n")


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--place", "attic"), "there is no place 'attic'; write one of cave, tub"),
        (("--from", "soon"), "'soon' is not a time"),
        (("--from", "2026-03-24", "--to", "2026-03-23"), "nothing lies between"),
    ],
)
def test_what_was_typed_wrongly_is_said_and_nothing_is_made(
    export: Export, tmp_path: Path, words: tuple[str, ...], sentence: str
) -> None:
    out = tmp_path / "r.csv"
    said = export("readings", *words, "--out", str(out))
    assert (said.exit_code, sentence in said.output, out.exists()) == (1, True, False)


def test_a_directory_that_is_not_there_is_said(export: Export, tmp_path: Path) -> None:
    said = export("alarms", "--out", str(tmp_path / "none" / "a.csv"))
    assert (said.exit_code, "cannot be written (No such file" in said.output) == (1, True)
