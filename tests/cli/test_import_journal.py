"""`cavewatch import journal`: once, whole or not at all."""

from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from cavewatch import clock
from cavewatch.cli.root import main
from cavewatch.core.journal import (
    Act,
    BrineMeasured,
    Entry,
    Made,
    Milk,
    Noted,
    Shelved,
    Treatment,
    Turned,
    Voided,
    Weighed,
)
from cavewatch.core.shape import Cylinder
from cavewatch.core.style import Method
from cavewatch.store import Store, journal_file

CONFIG = """
[dairy]
name = "Test dairy (invented)"
zone = "Europe/Dublin"
initials = "MK"
[store]
path = "dairy.sqlite"
[[place]]
name = "cave"
kind = "cave"
[[place]]
name = "tub"
kind = "tub"
[place.brine]
strength = "20 %"
temperature = "12 degC"
"""
BEGUN = datetime(2026, 3, 1, 9, 30, 0, 123456, tzinfo=UTC).timestamp()
ACTS: tuple[Act, ...] = (
    Milk(Treatment.RAW, (1, 2), source="home, 'north' herd", litres=52.5, cultures="=2 g é"),
    Made((1, 2), "gouda", Method.BRINE, 2512.5, "tub", shape=Cylinder(18.0, 8.5), lot="L-7"),
    Turned((1, 2)),
    Turned((1, 2)),
    BrineMeasured("tub", strength=19.75, temperature=12.5),
    Voided(4, "twice"),
    Weighed((1,), 2440.0),
    Shelved("cave humidity low", BEGUN + 3600.1234567, "door open"),
    Noted("-5 degC outside; =cold", (1,)),
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "my.toml").write_text(CONFIG)
    return tmp_path


def call(folder: Path, *words: object) -> Result:
    return CliRunner().invoke(main, ["--config", str(folder / "my.toml"), *map(str, words)])


def bring_in(folder: Path, path: Path, *words: str) -> Result:
    return call(folder, "import", "journal", path, "--yes", *words)


def entries(folder: Path) -> list[Entry]:
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        return store.entries()


def fill(folder: Path) -> None:
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        for n, act in enumerate(ACTS):
            store.append(BEGUN + 60 * (n // 2), BEGUN + 60 * n + 5.5, "AB", act)


def told(entry: Entry) -> tuple[object, ...]:
    """All of an entry but its number, times as a file holds them."""
    act = entry.act
    if isinstance(act, Shelved):
        act = Shelved(act.alarm, round(act.until, 6), act.why)
    return round(entry.at, 6), round(entry.written, 6), entry.by, act


def handmade(folder: Path, text: str) -> Path:
    path = folder / "notes.csv"
    path.write_text(text)
    return path


@pytest.mark.parametrize("form", ["csv", "jsonl"])
def test_an_exported_journal_comes_back_without_loss_and_only_once(folder: Path, form: str) -> None:
    fill(folder)
    sent = list(map(told, entries(folder)))
    out = folder / f"journal.{form}"
    exported = call(folder, "export", "journal", "--format", form, "--out", out)
    assert exported.exit_code == 0, exported.output
    again = bring_in(folder, out)
    assert f"0 new, {len(ACTS)} there already" in again.output
    assert len(entries(folder)) == len(ACTS)

    (folder / "dairy.sqlite").unlink()
    found = bring_in(folder, out)
    assert found.exit_code == 0, found.output
    assert f"{len(ACTS)} new, 0 there already" in found.output
    *back, note = entries(folder)
    assert list(map(told, back)) == sent
    assert note.act == Noted(f"imported {len(ACTS)} entries, 1 to {len(ACTS)}, from '{out.name}'")
    assert f"0 new, {len(ACTS)} there already" in bring_in(folder, out).output
    assert len(entries(folder)) == len(ACTS) + 1


@pytest.mark.parametrize("form", ["csv", "jsonl"])
def test_what_is_voided_is_found_under_its_new_number(folder: Path, form: str) -> None:
    fill(folder)
    out = folder / f"journal.{form}"
    call(folder, "export", "journal", "--format", form, "--out", out)
    (folder / "dairy.sqlite").unlink()
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        store.append(BEGUN, BEGUN, "AB", Noted("was here first"))
    bring_in(folder, out)
    found = entries(folder)
    [void] = [entry for entry in found if isinstance(entry.act, Voided)]
    assert isinstance(void.act, Voided)
    assert void.act.entry == 5
    assert isinstance(found[void.act.entry - 1].act, Turned)
    assert f"0 new, {len(ACTS)} there already" in bring_in(folder, out).output


def test_a_list_of_ones_own_is_read_at_the_dairys_wall_time(folder: Path) -> None:
    path = handmade(
        folder,
        "at;by;kind;wheels;style;method;weight_g;place;grams_g\n"
        "2026-07-01 16:30;AB;made;7 8;gouda;brine;2500;tub;\n"
        "2026-07-02T06:30:00+00:00;;turned;7 8;;;;;\n"
        ";;;;;;;;\n"
        "2026-07-03 08:00;AB;weighed;7;;;;;2440\n",
    )
    found = bring_in(folder, path)
    assert found.exit_code == 0, found.output
    made, turned, weighed, note = entries(folder)
    assert made.act == Made((7, 8), "gouda", Method.BRINE, 2500.0, "tub")
    assert made.at == datetime(2026, 7, 1, 15, 30, tzinfo=UTC).timestamp()
    assert (turned.by, turned.act) == ("MK", Turned((7, 8)))
    assert turned.at == datetime(2026, 7, 2, 6, 30, tzinfo=UTC).timestamp()
    assert weighed.act == Weighed((7,), 2440.0)
    assert abs(weighed.written - clock.now()) < 60
    assert note.by == "MK"
    assert "0 new, 3 there already" in bring_in(folder, path).output
    assert len(entries(folder)) == 4


def test_typed_times_stay_when_the_clock_is_set(folder: Path) -> None:
    path = handmade(folder, "at,kind,text\n2026-03-01 10:00,note,x\n")
    bring_in(folder, path)
    with closing(Store.open(folder / "dairy.sqlite")) as store:
        assert store._rows("SELECT typed FROM journal ORDER BY id") == [(1,), (0,)]


def test_a_row_that_stands_twice_is_two_entries_and_stays_two(folder: Path) -> None:
    row = "2026-03-01 10:00,note,x\n"
    path = handmade(folder, "at,kind,text\n" + row)
    bring_in(folder, path)
    path = handmade(folder, "at,kind,text\n" + 2 * row)
    assert "1 new, 1 there already" in bring_in(folder, path).output
    assert "0 new, 2 there already" in bring_in(folder, path).output


def test_all_faults_are_told_and_nothing_is_imported(folder: Path) -> None:
    path = handmade(
        folder,
        "at,by,kind,wheels,text,entry\n"
        "2026-03-01 10:00,AB,note,,good,\n"
        "16:30,AB,note,,x,\n"
        "yesterday 16:30,AB,note,,x,\n"
        "2026-03-29 01:30,AB,note,,x,\n"
        "2096-03-29 10:30,AB,note,,x,\n"
        "2026-03-01 10:00,AB,sung,,x,\n"
        "2026-03-01 10:00,AB,turned,all,,\n"
        "2026-03-01 10:00,AB,note,,x,1,more\n"
        "2026-03-01 10:00,AB,note,,x,one\n",
    )
    found = bring_in(folder, path)
    assert found.exit_code == 1
    for words in (
        "line 3: '16:30' is not a time; write it with its date",
        "line 4: 'yesterday 16:30' is not a time",
        "line 5: '2026-03-29 01:30' does not exist",
        "line 6: 'at' is '2096-03-29 10:30', which is still to come",
        "line 7: 'kind' is 'sung'; it must be one of made",
        "line 8: 'wheels' is 'all'",
        "line 9: it has 7 cells where the titles are 6",
        "line 10: 'entry' is 'one'; it must be a whole number",
    ):
        assert words in found.output
    assert "line 2" not in found.output
    assert entries(folder) == []


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("when,what\n", "there is no column 'at', 'kind' among 'when', 'what'"),
        ("at,kind,colour\n", "'colour' is no column of a journal; write any of at, kind"),
        ("at,kind,at\n", "a title stands twice"),
        ('{"id": 1}\n', "notes.csv, line 1: 'at' is missing"),
        ("at,kind,voids\n2026-03-01 10:00,voided,3\n", "voids entry 3, which is not in this file"),
        ("at,kind,entry,text\n" + "2026-03-01 10:00,note,3,x\n" * 2, "stands twice"),
        (
            '{"id": 1, "at": "2096-03-01T00:00:00+00:00", "written": "2096-03-01T00:00:00+00:00",'
            ' "by": "AB", "kind": "note", "text": "x"}\n',
            "entry 1 was written later than it is now",
        ),
    ],
)
def test_a_file_that_is_no_journal_says_what_to_write(folder: Path, text: str, said: str) -> None:
    found = bring_in(folder, handmade(folder, text))
    assert found.exit_code == 1
    assert said in found.output
    assert entries(folder) == []


def test_wheels_of_another_dairy_never_mix_with_ones_own(folder: Path) -> None:
    fill(folder)
    path = handmade(
        folder,
        "at,by,kind,wheels,style,method,weight_g,place\n"
        "2026-04-01 10:00,AB,made,2 3,gouda,brine,2500,tub\n",
    )
    found = bring_in(folder, path)
    assert found.exit_code == 1
    assert "line 2: wheel 2 was made by entry 2 already, and this is another one" in found.output
    assert len(entries(folder)) == len(ACTS)


def test_what_does_not_fit_is_told_before_it_is_kept(folder: Path) -> None:
    path = handmade(folder, "at,kind,wheels\n2026-03-01 10:00,turned,77\n")
    found = bring_in(folder, path)
    assert "will be kept but does not fit: entry 1: there is no wheel 77" in found.output
    assert entries(folder)[0].act == Turned((77,))


def test_that_nobody_is_named_is_a_fault(folder: Path) -> None:
    (folder / "my.toml").write_text(CONFIG.replace('initials = "MK"\n', ""))
    path = handmade(folder, "at,kind,text\n2026-03-01 10:00,note,x\n")
    assert "'by' is empty; write initials, or say them: --by AB" in bring_in(folder, path).output
    assert bring_in(folder, path, "--by", "AB").exit_code == 0
    assert {entry.by for entry in entries(folder)} == {"AB"}


def test_what_was_written_stays_when_it_is_stopped_and_is_gone_on_with(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = folder / "j.jsonl"
    made = (Entry(n, BEGUN + n, BEGUN + n, "AB", Noted(f"{n}")) for n in range(1, 6))
    path.write_text(journal_file.dump(made))
    append, calls = Store.append, []

    def stopped(store: Store, *args, **more):  # type: ignore[no-untyped-def]
        calls.append(1)
        if len(calls) == 3:
            raise KeyboardInterrupt
        return append(store, *args, **more)

    with monkeypatch.context() as patch:
        patch.setattr(Store, "append", stopped)
        found = bring_in(folder, path)
    assert (found.exit_code, "stopped after 2 entries" in found.output) == (130, True)
    assert "3 new, 2 there already" in bring_in(folder, path).output
    texts = [entry.act.text for entry in entries(folder) if isinstance(entry.act, Noted)]
    assert sorted(text for text in texts if not text.startswith("imported")) == list("12345")


def test_without_the_makers_word_nothing_is_written(folder: Path) -> None:
    path = handmade(folder, "at,kind,text\n2026-03-01 10:00,note,x\n")
    found = call(folder, "import", "journal", path)
    assert (found.exit_code, "1 new, 0 there already" in found.output) == (1, True)
    assert "if this is right, say --yes" in found.output
    assert entries(folder) == []
