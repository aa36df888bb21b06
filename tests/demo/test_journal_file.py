"""The reader and writer of journal files."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cavewatch.core.journal import Acknowledged, Entry, Made, Noted, Salted, Turned, Voided
from cavewatch.core.shape import Cylinder
from cavewatch.core.style import Method
from cavewatch.store.journal_file import JournalFileError, dump, read

GOOD = {
    "id": 1,
    "at": "2026-03-02T07:10:00+00:00",
    "written": "2026-03-02T07:12:00+00:00",
    "by": "MK",
    "kind": "turned",
    "wheels": [7, 8],
}


def written(folder: Path, *lines: object) -> Path:
    path = folder / "some.journal.jsonl"
    texts = [line if isinstance(line, str) else json.dumps(line) for line in lines]
    path.write_text("\n".join(texts) + "\n", encoding="utf-8")
    return path


def faults(path: Path) -> list[str]:
    with pytest.raises(JournalFileError) as raised:
        read(path)
    return str(raised.value).split("\n")


def test_a_line_becomes_the_entry_that_it_says(tmp_path: Path) -> None:
    assert read(written(tmp_path, GOOD)) == [
        Entry(1, 1772435400.0, 1772435520.0, "MK", Turned((7, 8)))
    ]


def test_times_with_other_offsets_are_the_same_instants(tmp_path: Path) -> None:
    path = written(tmp_path, GOOD | {"at": "2026-03-02T08:10:00+01:00"})
    assert read(path)[0].at == 1772435400.0


def test_blank_lines_and_windows_line_ends_are_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "windows.jsonl"
    path.write_bytes(f"\r\n{json.dumps(GOOD)}\r\n\r\n{json.dumps(GOOD | {'id': 2})}\r\n".encode())
    assert [entry.id for entry in read(path)] == [1, 2]


def test_an_empty_file_holds_no_entries(tmp_path: Path) -> None:
    assert read(written(tmp_path)) == []


texts = st.text(st.characters(categories=["L", "N", "P", "S"]), min_size=1, max_size=20)
numbers = st.lists(st.integers(1, 10**6), min_size=1, max_size=5).map(tuple)
grams = st.floats(0.1, 1e5)
acts = st.one_of(
    st.builds(Turned, numbers),
    st.builds(Salted, numbers, grams),
    st.builds(Noted, texts, numbers),
    st.builds(Acknowledged, texts),
    st.builds(Voided, st.integers(1, 99), texts),
    st.builds(
        Made,
        numbers,
        texts,
        st.sampled_from(Method),
        grams,
        texts,
        shape=st.none() | st.builds(Cylinder, st.floats(1, 50), st.floats(1, 50)),
        salting_done=st.booleans(),
        made_at=st.none() | st.floats(0, 4e9),
        floats=st.booleans(),
        lot=texts,
    ),
)
instants = st.integers(0, 4 * 10**9).map(float)


@given(st.lists(st.tuples(instants, instants, texts, acts), max_size=6))
def test_what_is_dumped_reads_back_the_same(
    tmp_path_factory: pytest.TempPathFactory, parts: list[tuple[float, float, str, object]]
) -> None:
    entries = [Entry(n, *part) for n, part in enumerate(parts, start=1)]  # type: ignore[arg-type]
    path = tmp_path_factory.mktemp("round") / "trip.jsonl"
    path.write_text(dump(entries), encoding="ascii")
    assert read(path) == entries


def test_all_faults_are_told_together_each_with_file_and_line(tmp_path: Path) -> None:
    path = written(tmp_path, "{", GOOD, GOOD, GOOD | {"id": 2, "kind": "eaten"})
    told = faults(path)
    assert [line.split(":")[0] for line in told] == [f"{path}, line {n}" for n in (1, 3, 4)]


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"id": 0}, "'id' is 0; it must be a whole number above 0"),
        ({"id": True}, "'id' is True"),
        ({"id": "1"}, "'id' is '1'"),
        ({"at": "2026-03-02T07:10:00"}, "'at' is '2026-03-02T07:10:00'; it must be a time with"),
        ({"at": 1772435400}, "'at' is 1772435400"),
        ({"written": "yesterday"}, "'written' is 'yesterday'"),
        ({"by": ""}, "'by' is ''"),
        ({"by": 5}, "'by' is 5"),
        ({"kind": "eaten"}, "'kind' is 'eaten'"),
        ({"wheels": [1.5]}, "'wheels' is [1.5]"),
        ({"extra": 1}, "'extra' is not known"),
        ({"by": "M\x1b[31mK"}, "control character"),
        ({"\x1b]0;x\x07": 1}, "control character"),
        ({"wheels": ["\u202e"]}, "control character"),
    ],
)
def test_a_fault_names_the_key_and_the_value(
    tmp_path: Path, change: dict[str, object], word: str
) -> None:
    (told,) = faults(written(tmp_path, GOOD | change))
    assert word in told
    assert told.isprintable()


@pytest.mark.parametrize("key", ["id", "at", "written", "by", "kind", "wheels"])
def test_a_missing_key_is_named(tmp_path: Path, key: str) -> None:
    (told,) = faults(written(tmp_path, {k: v for k, v in GOOD.items() if k != key}))
    assert f"'{key}'" in told


@pytest.mark.parametrize(
    "line", ["[]", "7", "null", "[" * 100_000, "1" * 5000, '{"id": NaN}', "\x1b[2J"]
)
def test_hostile_lines_are_faults_in_a_line_of_plain_text(tmp_path: Path, line: str) -> None:
    (told,) = faults(written(tmp_path, line))
    assert told.isprintable()
    assert len(told) < len(str(tmp_path)) + 400


def test_a_file_that_is_not_text_or_not_there_is_named(tmp_path: Path) -> None:
    binary = tmp_path / "binary"
    binary.write_bytes(b"\xff\xfe\x00")
    assert str(binary) in faults(binary)[0]
    assert str(tmp_path / "none") in faults(tmp_path / "none")[0]
