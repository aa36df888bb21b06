"""What 21 CFR 117.305 asks of a record, held against what is exported.

117.305 asks for (a) originals or electronic records, (b) actual values and
observations, (c) accurate, indelible and legible, (d) made at the time of the
activity, (e) detailed enough to show the history of what was done, and (f) the
facility, date and, where it matters, time, signature or initials, and the
product and lot where they apply.
"""

import csv
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from cavewatch.store import Store

Export = Callable[..., Result]


@pytest.fixture
def tables(export: Export, tmp_path: Path) -> dict[str, list[dict[str, str]]]:
    found = {}
    for what in ("readings", "journal", "alarms", "makes"):
        out = tmp_path / f"{what}.csv"
        export(what, "--out", str(out))
        with out.open(encoding="utf-8", newline="") as file:
            found[what] = list(csv.DictReader(file))
        assert found[what]
    return found


def test_every_row_names_the_facility(tables: dict[str, list[dict[str, str]]]) -> None:
    assert {row["dairy"] for rows in tables.values() for row in rows} == {"Invented & Sons"}


def test_actual_values_stand_there_and_not_only_a_verdict(
    tables: dict[str, list[dict[str, str]]],
) -> None:
    values = [row["temperature_degC"] for row in tables["readings"]]
    assert all(float(value) for value in values if value)
    assert values.count("") == 1  # where the sensor had none, and says so
    assert [row["temperature_status"] for row in tables["readings"]].count("F") == 1
    assert "15.2 °C" in tables["alarms"][0]["what"]


def test_every_entry_has_date_time_initials_and_when_it_was_written(
    tables: dict[str, list[dict[str, str]]],
) -> None:
    for row in tables["journal"]:
        assert row["at"][:10].count("-") == 2
        assert row["at"][-6] in "+-"
        assert row["written"] >= row["at"]
        assert row["by"] in ("MK", "AB")


def test_what_was_struck_is_still_legible(tables: dict[str, list[dict[str, str]]]) -> None:
    [struck] = [row for row in tables["journal"] if row["struck_by"]]
    assert (struck["grams_g"], struck["struck_why"]) == ("2530", "figures swapped")


def test_product_and_lot_stand_with_each_make(tables: dict[str, list[dict[str, str]]]) -> None:
    assert [(row["style"], row["lot"]) for row in tables["makes"]] == [("gouda", "M-1")] * 2


def test_the_record_is_indelible(config: Path, store: Store) -> None:
    before = store.entries()
    other = sqlite3.connect(config.with_name("dairy.sqlite"))
    try:
        for change in ("UPDATE journal SET at = 0", "DELETE FROM journal", "DELETE FROM alarm"):
            with pytest.raises(sqlite3.IntegrityError, match="append-only"):
                other.execute(change)
            other.rollback()
    finally:
        other.close()
    assert store.entries() == before
